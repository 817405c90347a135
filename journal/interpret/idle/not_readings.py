"""Numbers that no meter showed, claimed before amounts: figures of speech, dates, clock times, money, telephones.

Each rule looks at a stretch of number words and the words beside it.
"""

from __future__ import annotations

from collections.abc import Callable

from journal.interpret.board import Board, Claim, Hit
from journal.interpret.idle.day_times import time_of_day
from journal.interpret.idle.everyday import age, date, money, telephone
from journal.interpret.idle.number_names import claim_named
from journal.interpret.numbers.amounts import unit_at
from journal.interpret.numbers.number_words import fractions_at, words
from journal.interpret.numbers.runs import is_number_word, runs
from journal.interpret.vocabulary import small_words, table

Rule = Callable[[Board, int, int], str | None]


def claim_idioms(board: Board) -> None:
    """'out of the box', 'nine times out of ten': words that mean something else elsewhere."""
    for first, behind in runs(board.pieces, [owner is None for owner in board.owner]):
        if board.word(behind) in small_words("meter_ranges") and board.word(first - 1) in small_words("determiners"):
            board.claim("idiom", first, behind, "idiom", "range of a meter")  # 'that's the ten scale'
    for hit in board.found("not idioms"):
        following = board.pieces[hit.last + 1] if hit.last + 1 < len(board.pieces) else None
        ends_in_number = is_number_word(board.pieces[hit.last])
        goes_on = following is not None and (is_number_word(following) or _with_fraction(board, hit.last + 1))
        if ends_in_number and (unit_at(board, hit.last + 1) or goes_on):
            continue
        first = hit.first
        scale = board.word(hit.last) in small_words("meter_ranges") and board.starts("units", first) is not None
        counted = board.word(first) == "times" or scale  # 'one thousand volt scale'
        while first and is_number_word(board.pieces[first - 1]) and counted:
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
        if board.text(hit.first - 2, hit.first - 1) == "and a" and is_number_word(board.pieces[hit.first - 3]):
            continue  # 'is a seven and a half the old one read'
        article = behind in table("numbers")["articles"]  # 'in half an hour'
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

    'the other one twelve point nine': so it is where the number behind has tenths, which large ones have not; and
    where an utterance goes on with the next of several: 'top heater thirty eight point eight' ... 'middle one thirty
    nine point five'.
    """
    at = hit.last + 1
    digit = board.word(at) in table("numbers")["digits"]
    following = board.pieces[at + 1] if at + 1 < len(board.pieces) else None
    ends = following is None or following.text in words().points or not is_number_word(following)
    tens = board.word(at) in words().tens or board.word(at) in words().teens
    if tens and any(board.word(n) in words().points for n in (at + 1, at + 2)):
        opens = hit.first == 0 or (hit.first == 1 and board.word(0) in small_words("conjunctions"))
        goes_on = opens and board.hints is not None and board.hints.unit is not None
        return goes_on or board.word(hit.first - 1) in small_words("determiners")
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
        if not board.free(first, behind - 1) or _claim_tolerance(board, first, behind):
            continue  # the name before it took its digits along: 'number one m two'
        for rule in (telephone, money, age, time_of_day, date):
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
