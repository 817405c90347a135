"""Times of day among other numbers: 'since nine', 'a quarter after nine', 'at two fifteen it's down to thirty nine'.

A time of a hold ('three hundred at nine fifteen') has the form of a pressure and is told by what stands around it.
"""

from __future__ import annotations

from journal.interpret.board import Board
from journal.interpret.idle.number_names import followed_by, led_by
from journal.interpret.numbers.amounts import unit_at
from journal.interpret.numbers.numbers import Reader
from journal.interpret.numbers.runs import groupings, is_number_word
from journal.interpret.vocabulary import small_words, table

HOURS = 12
HELD_AT_LEAST = 50  # psi of nitrogen that somebody watches, and far more than any hour


def time_of_day(board: Board, first: int, behind: int) -> str | None:
    if followed_by(board, ("not clock after",), behind) and _like_a_time(board, first, behind):
        # but 'the box was at fifty one this morning', 'head was two ten this morning'
        return None if _value_of_the_day(board, first, behind) else "time of day"
    if (
        unit_at(board, behind) is None
        and led_by(board, ("not clock before",), first)
        and not _moved_to(board, first)
        and _like_a_time(board, first, behind)
    ):
        return "time of day"
    if unit_at(board, behind) is None and (
        _time_of_a_hold(board, first, behind)
        or _looked_again(board, first, behind)
        or _somebody_went(board, first, behind)
        or _and_by(board, first, behind)
    ):
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


def _value_of_the_day(board: Board, first: int, behind: int) -> bool:
    """'head was two ten this morning': a place or a kind with a verb leads to it, and the words behind name a day's
    part, which 'o'clock' and 'a m' do not."""
    at = first - 1
    while board.word(at) in small_words("copulas"):
        at -= 1
    owner = board.owner[at] if at >= 0 else None
    named = owner is not None and owner.label == "component"
    named = named or board.ends("kinds", at) is not None
    return named and board.word(behind) in small_words("parts_of_day")


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
    named = {claim.value for claim in board.labelled("component") if claim.last < first}
    carried = board.hints.component if board.hints is not None else None
    if not (named or {carried}) & set(table("not_readings")["held_at"]):
        return False
    if not (_hour_and_minutes(board, first, behind) or _hour_beside_pressure(board, first, behind)):
        return False
    seen = first - 2
    while seen >= 0 and (board.word(seen) in small_words("seen_again") or _of_a_hold(board, seen)):
        seen -= 1
    unit = board.ends("units", seen) if seen >= 0 else None
    held = unit is not None and unit.name not in ("second", "minute", "hour")  # 'ten minutes and it's at four thirty'
    held = held or (seen >= 0 and _pressure_ends(board, seen)) or _put_on_at(board, first - 1)
    again = board.word(first - 1) == "at" and (held or board.word(first - 2) == "again")
    joined = board.word(behind) in small_words("conjunctions") and board.word(behind + 1) in small_words("it")
    opens = first == 0 and joined and len(board.pieces) > behind + 2  # 'five fifty and still dropping' is a value
    return again or opens


def _pressure_ends(board: Board, at: int) -> bool:
    """A number that is no time of day itself: 'went in at ten past one at two fifty'."""
    owner = board.owner[at]
    return is_number_word(board.pieces[at]) and (owner is None or owner.label != "no reading")


def _hour_and_minutes(board: Board, first: int, behind: int) -> bool:
    """'nine fifteen', 'nine oh five': to five minutes, as people tell the time."""
    ways = groupings(Reader(board.pieces), first, behind)
    if not ways or len(ways[0].numbers) != 1 or ways[0].numbers[0].form != "pair":
        return False
    hours, minutes = divmod(ways[0].numbers[0].value, 100)
    return 0 < hours <= 12 and minutes < 60 and minutes % 5 == 0


def _hour_beside_pressure(board: Board, first: int, behind: int) -> bool:
    """'three hundred on the nitrogen at eleven and it's three hundred at two': a whole hour, no pressure."""
    ways = groupings(Reader(board.pieces), first, behind)
    if not ways or len(ways[0].numbers) != 1 or not 0 < ways[0].numbers[0].value <= HOURS:
        return False
    if not first:
        return False
    at = first - 1
    while at > 0 and not is_number_word(board.pieces[at]):
        at -= 1
    start = at
    while start > 0 and is_number_word(board.pieces[start - 1]):
        start -= 1
    before = groupings(Reader(board.pieces), start, at + 1) if is_number_word(board.pieces[at]) else []
    return bool(before) and before[0].numbers[-1].value >= HELD_AT_LEAST


def _somebody_went(board: Board, first: int, behind: int) -> bool:
    """'when i broke for coffee at nine oh five', 'got back around two': what people do, and when."""
    went = board.ends("not clock people", first - 2)
    return went is not None and board.word(first - 1) in small_words("at_a_time") and _like_a_time(board, first, behind)


def _and_by(board: Board, first: int, behind: int) -> bool:
    """'put the fan on at nine and by eleven it was forty nine': one hour, and a later one."""
    later = board.text(behind, behind + 1) in small_words("and_by") and behind + 2 < len(board.pieces)
    later = later and is_number_word(board.pieces[behind + 2])
    return later and board.word(first - 1) in small_words("at_a_time") and _like_a_time(board, first, behind)


def _put_on_at(board: Board, at: int) -> bool:
    """'put three hundred of nitrogen in it at eight fifteen': nothing parts the pressure from 'at'."""
    while at > 0 and not is_number_word(board.pieces[at]):
        if board.word(at) in small_words("conjunctions") or board.word(at) in table("clauses")["strong"]:
            return False
        at -= 1
    return at > 0 and any(board.word(here) == "of" for here in (at + 1, at + 2))


def _looked_again(board: Board, first: int, behind: int) -> bool:
    """'and at ten thirty it's still three hundred': when it was looked at, and what was seen then."""
    if not _hour_and_minutes(board, first, behind):
        return False
    before = first - 2
    read = before >= 0 and (is_number_word(board.pieces[before]) or board.ends("units", before) is not None)
    opens = read or board.word(before) in small_words("conjunctions") | small_words("before_a_look")
    if board.word(first - 1) != "at" or not opens or board.word(behind) not in small_words("it"):
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
