"""Counts and sizes: 'four screws', 'three eighths line', 'fans two of three'."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from journal.interpret.board import Board, Claim
from journal.interpret.idle.number_names import followed_by
from journal.interpret.idle.withholding import FEW_THINGS
from journal.interpret.numbers.amounts import unit_at
from journal.interpret.numbers.numbers import Number, Reader
from journal.interpret.numbers.runs import Grouping, groupings, is_number_word, runs
from journal.interpret.places.behind import GAUGE_SIDES
from journal.interpret.vocabulary import small_words, table

MANY = 24  # more bolts or lamps than that are misheard volts or amps
LARGEST = Decimal("4.125")  # inches of the widest tube in the trade (common practice)
MOST_TENTHS = 2  # 'oh five' may be half of something, 'oh five two' is none
ZERO_TO_NINE = frozenset((*table("numbers")["zeros"], *table("numbers")["digits"]))


def claim_counts(board: Board) -> None:
    """Numbers of things and sizes of parts: 'four screws', 'three eighths line', 'two by four'."""
    free = [owner is None for owner in board.owner]
    for first, behind in runs(board.pieces, free):
        if unit_at(board, behind, close=False) is not None and not _size_unit(board, behind):
            continue
        if not board.free(first, behind - 1):
            continue  # the second of 'two of three'
        whole = _of_so_many(board, first, behind)
        if whole is not None:
            board.claim("no reading", first, whole, "count", "so many of so many")
            continue
        place = _size_unit(board, behind) or behind
        if _numbered_part(board, first, behind):
            board.claim("no reading", first, behind - 1, "name", "a number with a zero in front names the part")
            continue
        weak = board.starts("weak units", behind)
        ways = groupings(Reader(board.pieces), first, behind)
        if weak is not None and ways and ways[0].numbers[-1].value > MANY:
            continue
        value = ways[0].numbers[-1].value if ways else None
        counted = _is_counted(board, place) or _counts_parts(board, place, value)
        counted = counted and not (ways and _of_what_is_before(board, first, place, ways[0].numbers[-1]))
        if (counted or _one_part(board, first, behind)) and place == behind:
            board.claim("no reading", _counting(board, ways, first, behind), behind - 1, "count", "a number of things")
        elif _part_follows(board, place) and (place > behind or _is_size(board, first, behind, ways)):
            board.claim("no reading", first, place - 1, "size", "size of a part")


def _of_so_many(board: Board, first: int, behind: int) -> int | None:
    """'fans two of three turning', 'evap fans 3 of 3': so many of so many; the last token of them."""
    at = behind + 1
    if board.word(behind) != "of" or board.owner[behind] is not None or at >= len(board.pieces):
        return None
    part, all_ = (_small(board, first, behind), _small(board, at, at + 1))
    if part is None or all_ is None or part > all_ or unit_at(board, at + 1) is not None:
        return None
    last = at + 1 == len(board.pieces) or not is_number_word(board.pieces[at + 1])
    return at if last else None


def _small(board: Board, first: int, behind: int) -> int | None:
    """A number of things in one word: 'three', '3'."""
    piece = board.pieces[first]
    if behind != first + 1 or board.owner[first] is not None:
        return None
    value = piece.number if piece.number is not None else table("numbers")["digits"].get(piece.text)
    return int(value) if value is not None and value == int(value) and value <= MANY else None


def _numbered_part(board: Board, first: int, behind: int) -> bool:
    """'hand me an oh five two drier': digits that open with a zero right before a part are its maker's number."""
    owner = board.owner[behind] if behind < len(board.pieces) else None
    zero = board.word(first) in table("numbers")["zeros"] and behind - first > MOST_TENTHS
    digits = all(board.word(at) in ZERO_TO_NINE for at in range(first, behind))
    if zero and digits and board.word(first - 1) == "an":
        return True
    return zero and digits and owner is not None and owner.label == "component" and not _valued(board, owner)


def _valued(board: Board, part: Claim) -> bool:
    """A verb or a number behind the part: it is spoken of, and the number before it may be of another."""
    at = part.last + 1
    verb = board.word(at) in table("unsaid")["verbs"]["forms"]
    return verb or (at < len(board.pieces) and is_number_word(board.pieces[at]))


def _of_what_is_before(board: Board, first: int, at: int, number: Number) -> bool:
    """'wall reads seventy six point five people in coats', 'outdoor air eighty eight sight glass ...': no count.

    Feet, turns and gallons have tenths and stand behind a part; people and doors do neither.
    """
    thing = board.starts("not counted", at)
    if thing is not None and board.word(at) in small_words("parted_things"):
        return False
    if number.form == "decimal" or (thing is not None and board.word(thing.last) == "glass" and number.value > 1):
        return True
    part = board.owner[place_before(board, first)] if place_before(board, first) >= 0 else None
    if part is None or part.label != "component" or table("components")[part.value].get("electrical"):
        return False
    return bool(table("components")[part.value].get("unsaid")) and number.value > FEW_THINGS


def place_before(board: Board, first: int) -> int:
    """The token before a number and the verb that leads to it."""
    at = first - 1
    while at > 0 and board.owner[at] is None and board.word(at) in small_words("copulas"):
        at -= 1
    return at


def _is_counted(board: Board, at: int) -> bool:
    """A thing that is counted follows; 'by' and 'x' only before another number ('two by four')."""
    hit = board.starts("not counted", at)
    if hit is None or board.word(at) not in table("not_readings")["times_over"]:
        return hit is not None
    return at + 1 < len(board.pieces) and is_number_word(board.pieces[at + 1]) and not _by_the_clock(board, at + 1)


def _by_the_clock(board: Board, at: int) -> bool:
    """'fifty two, by ten it was forty five': a statement opens behind the number, which is an hour."""
    while at < len(board.pieces) and is_number_word(board.pieces[at]):
        at += 1
    return board.word(at) in small_words("it") and board.word(at + 1) in small_words("copulas") | small_words("it_went")


def _one_part(board: Board, first: int, behind: int) -> bool:
    """'that's one contactor two fuses': a part counted, not a number measured at it."""
    owner = board.owner[behind] if behind < len(board.pieces) else None
    if behind != first + 1 or board.word(first) != "one" or owner is None or owner.label != "component":
        return False
    body = table("components")[owner.value]
    free = first == 0 or board.owner[first - 1] is None or board.owner[first - 1].label == "no reading"  # type: ignore[union-attr]
    return bool(body.get("electrical")) and free


def _counts_parts(board: Board, at: int, value: Decimal | None) -> bool:
    """'two evaporators', 'three bad caps', 'two good ones': things, an adjective before them or not."""
    part = board.owner[at] if at < len(board.pieces) else None
    if part is not None and part.label == "component" and part.first == at:
        several = board.word(part.last).endswith("s") and not table("components")[part.value].get("first")
        return several and value is not None and value == int(value) and 0 < value <= MANY and not _valued(board, part)
    if board.word(at) not in table("not_readings")["adjectives"]:
        return False
    owner = board.owner[at + 1] if at + 1 < len(board.pieces) else None
    things = owner is not None and owner.label == "component" and board.word(owner.last).endswith("s")
    return things or board.word(at + 1) == "ones" or board.starts("not counted", at + 1) is not None


def _counting(board: Board, ways: Sequence[Grouping], first: int, behind: int) -> int:
    """The first token of what counts: 'two oh eight two thirty three phase' counts three phases."""
    if board.word(behind) in table("not_readings")["few"]:
        return behind - 1
    return ways[0].numbers[-1].first if ways else first


def _size_unit(board: Board, at: int) -> int | None:
    """The token behind a unit of size ('inch', 'ton', 'pound', 'gauge') when a part follows."""
    if board.word(at) == "degree":
        return at + 1 if board.starts("not nominal", at + 1) else None
    if board.word(at) in table("not_readings")["size_units"] and board.starts("not sized", at + 1):
        return None if board.word(at) in small_words("size_or_pressure") and _has_pressure(board, at + 1) else at + 1
    return None


def _has_pressure(board: Board, at: int) -> bool:
    """'a sixty pound suction': pounds of a side of the gauges are its pressure, and no size of it."""
    owner = board.owner[at]
    return owner is not None and owner.label == "component" and owner.value in GAUGE_SIDES


def _part_follows(board: Board, at: int) -> bool:
    """A word for a part, which is not the first half of a pair of points ('two and a quarter run to start')."""
    owner = board.owner[at] if at < len(board.pieces) else None
    return followed_by(board, ("not sized",), at) and (owner is None or owner.label != "points")


def _is_size(board: Board, first: int, behind: int, ways: Sequence[Grouping]) -> bool:
    """Fractions of an inch and plain voltages or numbers in front of a part: 'seven eighths suction', 'two twenty
    unit'."""
    hit = board.starts("not sized", behind)
    nominal = board.starts("not nominal", behind)
    if nominal is not None and first and board.word(first - 1) not in table("not_readings")["introducing"]:
        nominal = None
    part, after = board.owner[place_before(board, first)] if first else None, board.owner[behind]
    told = part is not None and part.label == "component" and part.last < first - 1
    if told or (after is not None and after.label == "component" and _valued(board, after)):
        nominal = None  # 'head's one sixty box forty four': the box has a number of its own
    fraction = any(
        piece.text in table("numbers")["fractions"] or piece.text == "/" for piece in board.pieces[first:behind]
    )
    fraction = fraction and not (ways and ways[0].numbers[-1].value > LARGEST)
    return hit is not None and (fraction or nominal is not None)
