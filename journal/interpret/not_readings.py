"""Numbers that no meter showed, claimed before amounts: figures of speech, dates, clock times, money, telephones.

Each rule looks at a stretch of number words and the words beside it.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from journal.interpret.amounts import unit_at
from journal.interpret.board import Board, Claim, Hit
from journal.interpret.counts import LINKS, claim_named, followed_by, led_by
from journal.interpret.number_words import fractions_at, words
from journal.interpret.numbers import Reader
from journal.interpret.runs import groupings, is_number_word, runs
from journal.interpret.vocabulary import small_words, table

MONTHS, DAYS = 12, 31
Rule = Callable[[Board, int, int], str | None]


def claim_idioms(board: Board) -> None:
    """'out of the box', 'nine times out of ten': words that mean something else elsewhere."""
    for hit in board.found("not idioms"):
        following = board.pieces[hit.last + 1] if hit.last + 1 < len(board.pieces) else None
        ends_in_number = is_number_word(board.pieces[hit.last])
        goes_on = following is not None and (is_number_word(following) or _with_fraction(board, hit.last + 1))
        if ends_in_number and (unit_at(board, hit.last + 1) or goes_on):
            continue
        first = hit.first
        while first and is_number_word(board.pieces[first - 1]) and board.word(hit.first) == "times":
            first -= 1
        board.claim("idiom", first, hit.last, "idiom", "figure of speech")


def _with_fraction(board: Board, at: int) -> bool:
    """'weighed in two and a quarter pounds': the number behind 'in' goes on."""
    text = tuple(piece.text for piece in board.pieces[at + 1 : at + 4])
    return board.word(at) == "and" and any(True for _ in fractions_at(text, 0))


def claim_pronouns(board: Board) -> None:
    """'this one', 'one of these', 'fifty fifty': number words that count nothing."""
    in_turn = board.found("not positions")
    for at in [at for at in range(len(board.pieces)) if _behind_a_part(board, at)]:
        part = board.owner[at - 1]
        if part is not None and _tells_apart(board, part):
            board.release(part)
            board.claim("no reading", part.first, at, "pronoun", "another of these")
        else:
            board.claim("no reading", at, at, "pronoun", "one of this kind")
    for hit in [
        hit for hit in in_turn if len(in_turn) > 1 or _before_a_digit(board, hit)
    ]:  # 'top one twenty eight, middle one twenty nine, bottom one ...'
        board.claim("no reading", hit.first, hit.last, "pronoun", "one of several")
    for hit in board.found("not pronouns"):
        behind = board.word(hit.last + 1)
        if _was_read(board, hit):
            continue
        if unit_at(board, hit.last, close=False) and behind in (*words().tens, *words().teens, *words().zeros):
            continue  # 'took a minute forty five'
        article = behind in ("a", "an")  # 'in half an hour'
        if behind in ("point",) or unit_at(board, hit.last + 1 + article, close=False):
            continue
        if is_number_word(board.pieces[hit.last]) and _with_fraction(board, hit.last + 1):
            continue
        if any(is_number_word(piece) for piece in board.pieces[hit.first : hit.last + 1]):
            counted = hit.first and is_number_word(board.pieces[hit.first - 1]) and not _ordinal(board, hit.first - 1)
            if counted and is_number_word(board.pieces[hit.first]):
                continue
            following = board.pieces[hit.last + 1] if hit.last + 1 < len(board.pieces) else None
            if following is not None and is_number_word(following) and is_number_word(board.pieces[hit.last]):
                continue
            board.claim("no reading", hit.first, hit.last, "pronoun", "words that count nothing")


def _was_read(board: Board, hit: Hit) -> bool:
    """'dropped to ten four' is a number, 'ten four' alone is none."""
    cue = board.ends("roles", hit.first - 1)
    if board.word(hit.first - 1) in small_words("copulas"):  # 'amps are ten four'
        cue = board.ends("kinds", hit.first - 2) or board.ends("components", hit.first - 2)
    pieces = board.pieces[hit.first : hit.last + 1]
    before = board.owner[hit.first - 1] if hit.first else None
    if before is not None and before.label == "points" and len(pieces) > 2 and all(map(is_number_word, pieces)):
        return True  # 'r to g twenty four seven': right behind its points it is what the meter shows
    doubled = len({piece.text for piece in pieces}) == 1  # 'fifty fifty' is a figure of speech anywhere
    return cue is not None and not doubled and all(is_number_word(piece) for piece in pieces)


def _ordinal(board: Board, at: int) -> bool:
    """'the fifth one's noisy' counts along; 'three fifths' is a part."""
    ordinal = board.word(at) in table("not_readings")["dates"]["ordinals"]
    return ordinal and not (at and is_number_word(board.pieces[at - 1]))


def _before_a_digit(board: Board, hit: Hit) -> bool:
    """'second one two ohms', 'last one four point one': nobody says 'one two' for twelve, so the 'one' is a pronoun.

    'the other one twelve point nine': so it is where the number behind has tenths, which large ones have not.
    """
    at = hit.last + 1
    digit = board.word(at) in table("numbers")["digits"]
    following = board.pieces[at + 1] if at + 1 < len(board.pieces) else None
    ends = following is None or following.text in words().points or not is_number_word(following)
    tens = board.word(at) in words().tens or board.word(at) in words().teens
    if tens and any(board.word(n) in words().points for n in (at + 1, at + 2)):
        return board.word(hit.first - 1) in small_words("determiners")
    return digit and board.word(hit.last) == "one" and ends


def _behind_a_part(board: Board, at: int) -> bool:
    """'the suction one's loose', 'the fan cycling one i left': a part like the one spoken of, and no number."""
    part = board.owner[at - 1] if at else None
    if board.word(at) != "one" or board.owner[at] is not None or part is None or part.label != "component":
        return False
    following = board.pieces[at + 1] if at + 1 < len(board.pieces) else None
    counts = following is not None and (following.text in words().points or is_number_word(following))
    named = board.word(part.last).endswith("s") or unit_at(board, at + 1) is not None
    return board.word(part.first - 1) in small_words("the_very") and not counts and not named


def _tells_apart(board: Board, part: Claim) -> bool:
    """'relay on the compressor ... the liquid one's open': a place names which of the electrical parts spoken of."""
    parts = table("components")
    named = [str(claim.value) for claim in board.labelled("component") if claim.last < part.first]
    carried = board.hints.component if board.hints is not None else None
    of = named[-1] if named else carried
    return of is not None and bool(parts[of].get("electrical")) and not parts[part.value].get("electrical")


def claim_names(board: Board) -> None:
    """Claim numbers that name, date, time, price or dial."""
    for at in [at for at in range(len(board.pieces) - 2) if _written_time(board, at)]:
        board.claim("no reading", at, at + 2, "time of day", "written time of day")
    free = [owner is None for owner in board.owner]
    for first, behind in runs(board.pieces, free):
        if _claim_tolerance(board, first, behind):
            continue
        for rule in (_telephone, _money, _clock, _date):
            why = rule(board, first, behind)
            if why:
                board.claim("no reading", first, behind - 1, why, why)
                break
        else:
            claim_named(board, first, behind)


def _written_time(board: Board, at: int) -> bool:
    """'7:30', 'back Tues 11:15'."""
    hour, colon, minute = board.pieces[at : at + 3]
    if not board.free(at, at + 2) or colon.text != ":" or not (colon.glued and minute.glued):
        return False
    if hour.number is None or minute.number is None or len(minute.text) != len("30"):
        return False
    return hour.number == int(hour.number) and hour.number <= 24 and minute.number < 60


def _claim_tolerance(board: Board, first: int, behind: int) -> bool:
    """'plus or minus six percent' says how far a value may be off; it is no reading."""
    start = first + 1 if board.word(first) in table("numbers")["minus"] else first
    for phrase in table("clauses")["tolerance"]:
        words = phrase.split()
        if start >= len(words) and [board.word(place) for place in range(start - len(words), start)] == words:
            unit = unit_at(board, behind)
            last = unit[1] if unit else behind - 1
            if board.free(start - len(words), last):
                board.claim("tolerance", start - len(words), last, "tolerance", "how far a value may be off")
                return True
    return False


def _telephone(board: Board, first: int, behind: int) -> str | None:
    digits = sum(1 for piece in board.pieces[first:behind] if is_number_word(piece))
    many = digits >= table("not_readings")["telephone"]["digits"] and _all_small(board, first, behind)
    if many and not any(board.has(context) for context in ("units", "kinds", "points", "unsaid")):
        return "telephone number"
    back = next((at for at in range(first - 1, -1, -1) if board.word(at) not in LINKS), -1)
    spoken_of = board.owner[back] if back >= 0 else None
    if spoken_of is not None and spoken_of.label == "idiom":
        return None  # 'w to c on a call twenty four nine'
    if digits >= 3 and led_by(board, ("not telephone before",), first) and unit_at(board, behind) is None:
        return "telephone number"
    return None


def _all_small(board: Board, first: int, behind: int) -> bool:
    """Seven digits one by one; decimals and lists of pairs are not dialled."""
    numbers = table("numbers")
    return all(
        piece.text in numbers["digits"] or piece.text in numbers["zeros"] or piece.text in numbers["repeat"]
        for piece in board.pieces[first:behind]
    )


def _money(board: Board, first: int, behind: int) -> str | None:
    if followed_by(board, ("not money after",), behind) or led_by(board, ("not money before",), first):
        return "money"
    quoted = any(claim.value == "money" and claim.last < first for claim in board.labelled("no reading"))
    if quoted and led_by(board, ("not money further",), first) and board.word(behind) == "for":
        return "money"
    return None


def _clock(board: Board, first: int, behind: int) -> str | None:
    if followed_by(board, ("not clock after",), behind) and _like_a_time(board, first, behind):
        return "time of day"  # but 'the box was at fifty one this morning'
    if (
        unit_at(board, behind) is None
        and led_by(board, ("not clock before",), first)
        and not _moved_to(board, first)
        and _like_a_time(board, first, behind)
    ):
        return "time of day"
    if unit_at(board, behind) is None and _time_of_a_hold(board, first, behind):
        return "time of day"
    if _hour_of(board, first, "hours", "business") and _like_a_time(board, first, behind):
        return "time of day"  # 'the parts house closes at five thirty'
    if (
        _hour_of(board, first, "programs", "programmed")
        and _like_a_time(board, first, behind)
        and unit_at(board, behind) is None
    ):
        return "time of day"  # 'occupied is seventy one starting five forty five'
    if board.word(behind) in small_words("minutes_past") and behind + 1 < len(board.pieces):
        after = behind + 1
        while after < len(board.pieces) and is_number_word(board.pieces[after]):
            after += 1  # 'sixty one after twenty eight minutes' is no time of day
        hour = after > behind + 1 and not board.starts("units", after)
        if (hour or board.word(behind + 1) == "the") and _minutes(board, first, behind):
            return "time of day"
    return None


def _hour_of(board: Board, first: int, leads: str, named: str) -> bool:
    """One of the leading words stands right before a token, and what has such hours was named before that."""
    lead = board.ends(f"not clock {leads}", first - 1)
    return lead is not None and board.has(f"not clock {named}", 0, lead.first)


def _moved_to(board: Board, first: int) -> bool:
    """'from two twenty to two oh five', 'i'd expect ten to thirty': no 'twenty to' of a clock."""
    hit = board.ends("not clock before", first - 1)
    if hit is None or not is_number_word(board.pieces[hit.first]):
        return False
    cue = board.ends("roles", hit.first - 1)
    if cue is not None and cue.name in ("expected", "nameplate", "setting"):
        return True
    return hit.first > 0 and (is_number_word(board.pieces[hit.first - 1]) or board.word(hit.first - 1) == "from")


def _time_of_a_hold(board: Board, first: int, behind: int) -> bool:
    """'nitrogen's in at three hundred at nine fifteen', 'nine forty five and it's still there': when it was seen."""
    ways = groupings(Reader(board.pieces), first, behind)
    if not ways or len(ways[0].numbers) != 1 or ways[0].numbers[0].form != "pair":
        return False
    hours, minutes = divmod(ways[0].numbers[0].value, 100)
    if not (0 < hours <= 12 and minutes < 60 and minutes % 5 == 0):
        return False
    if _looked_again(board, first, behind):
        return True
    named = {claim.value for claim in board.labelled("component") if claim.last < first}
    carried = board.hints.component if board.hints is not None else None
    if not (named or {carried}) & set(table("not_readings")["held_at"]):
        return False
    seen = first - 2
    while seen >= 0 and (board.word(seen) in small_words("seen_again") or _of_a_hold(board, seen)):
        seen -= 1
    unit = board.ends("units", seen) if seen >= 0 else None
    held = unit is not None and unit.name not in ("second", "minute", "hour")  # 'ten minutes and it's at four thirty'
    held = held or (seen >= 0 and is_number_word(board.pieces[seen])) or _put_on_at(board, first - 1)
    again = board.word(first - 1) == "at" and (held or board.word(first - 2) == "again")
    joined = board.word(behind) in small_words("conjunctions") and board.word(behind + 1) in small_words("it")
    opens = first == 0 and joined and len(board.pieces) > behind + 2  # 'five fifty and still dropping' is a value
    return again or opens


def _put_on_at(board: Board, at: int) -> bool:
    """'put three hundred of nitrogen in it at eight fifteen': nothing parts the pressure from 'at'."""
    while at > 0 and not is_number_word(board.pieces[at]):
        if board.word(at) in small_words("conjunctions") or board.word(at) in table("clauses")["strong"]:
            return False
        at -= 1
    return at > 0 and any(board.word(here) == "of" for here in (at + 1, at + 2))


def _looked_again(board: Board, first: int, behind: int) -> bool:
    """'and at ten thirty it's still three hundred': when it was looked at, and what was seen then."""
    opens = board.word(first - 1) == "at" and board.word(first - 2) in small_words("conjunctions") | {"then", ""}
    if not opens or board.word(behind) not in small_words("it"):
        return False
    numbers = [at for at in range(behind, len(board.pieces)) if is_number_word(board.pieces[at])]
    return bool(numbers) and not any(hit.name in ("minute", "hour") for hit in board.hits.get("units", ()))


def _of_a_hold(board: Board, at: int) -> bool:
    owner = board.owner[at]
    return owner is not None and owner.value in table("not_readings")["held_at"]


def _minutes(board: Board, first: int, behind: int) -> bool:
    ways = groupings(Reader(board.pieces), first, behind)
    return bool(ways) and len(ways[0].numbers) == 1 and ways[0].numbers[0].value <= 59


def _like_a_time(board: Board, first: int, behind: int) -> bool:
    ways = groupings(Reader(board.pieces), first, behind)
    if not ways or len(ways[0].numbers) != 1:
        return False
    value = ways[0].numbers[0].value
    hours, minutes = divmod(value, 100)
    return value == int(value) and (0 < value <= 24 or (0 < hours <= 24 and minutes < 60))


def _date(board: Board, first: int, behind: int) -> str | None:
    dates = table("not_readings")["dates"]
    if _stroked(board, first, behind):
        return "date"
    if board.word(first - 1) in dates["months"] and unit_at(board, behind) is None:
        return "date"
    if board.word(first - 1) == "of" and board.word(first - 2) in (*dates["months"], *dates["seasons"]):
        return "date"
    if unit_at(board, behind) is None and led_by(board, ("not dates year_before",), first):
        ways = groupings(Reader(board.pieces), first, behind)
        if ways and len(ways[0].numbers) == 1 and Decimal(1950) <= ways[0].numbers[0].value <= Decimal(2049):
            return "year"
    return None


def _stroked(board: Board, first: int, behind: int) -> bool:
    """'serviced 3/22', 'dated 11/9/24': digits parted by strokes behind a word for something done on a day."""
    owner = board.owner[first - 2] if first > 1 and board.word(first - 1) == "/" else None
    if owner is not None and owner.value == "date":
        return True
    here, after = board.pieces[first].number, board.pieces[behind + 1] if behind + 1 < len(board.pieces) else None
    if here is None or behind != first + 1 or board.word(behind) != "/" or after is None or after.number is None:
        return False
    low, high = sorted((here, after.number))
    led = led_by(board, ("not dates stroked",), first)
    return led and 0 < low <= MONTHS and high <= DAYS and low == int(low) and high == int(high)
