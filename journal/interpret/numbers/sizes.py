"""What is printed on capacitors and stands on scales: sets of numbers that are read together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

from journal.interpret.board import Board
from journal.interpret.numbers.amounts import Amount
from journal.interpret.numbers.numbers import Reader
from journal.interpret.numbers.runs import Grouping, groupings, is_number_word
from journal.interpret.vocabulary import small_words, table

CAPACITORS = ("dual capacitor", "capacitor", "run capacitor")
RATINGS = frozenset(Decimal(volts) for volts in table("plates")["capacitor_volts"])
LARGEST = Decimal(200)  # microfarads of a run capacitor, and its smaller half: common practice
SMALLER_HALF = Decimal(15)
MOST_POUNDS = 150  # a full recovery cylinder


def jug_weight(board: Board, ways: Sequence[Grouping], first: int, behind: int, index: int) -> Amount | None:
    """'twenty seven eleven' on a refrigerant jug is 27 lb 11 oz; with a decimal point it would be 27.11 lb."""
    named = [claim.value for claim in board.labelled("component") if claim.first < behind + 4]
    carried = board.hints.component if board.hints is not None else None
    if (named[-1] if named else carried) != "cylinder" or ways[0].numbers[0].form == "decimal":
        return None
    if board.hints is not None and "psi" in board.hints.told and not _weighed_here(board):
        return None  # 'tank at three ninety' ... 'and it fell to two ten': its pressure, told on
    for way in groupings(Reader(board.pieces), first, behind, keep=12):
        if len(way.numbers) != 2 or way.left_over or _one_number(board, first, behind):
            continue
        pounds, ounces = (number.value for number in way.numbers)
        if pounds == int(pounds) and ounces == int(ounces) and 0 < ounces < 16 and 0 < pounds < MOST_POUNDS:
            return Amount(
                first,
                behind - 1,
                first,
                behind - 1,
                value=pounds + ounces / 16,
                unit="pound",
                hint="pound",
                rivals=((Decimal(f"{int(pounds)}.{int(ounces)}"), "pounds and tenths"),),
                doubts=(("grouping", "Pounds and ounces, or pounds and tenths."),),
                run=index,
                form="pounds and ounces",
            )
    return None


def _weighed_here(board: Board) -> bool:
    """A scale is named, or a unit of weight."""
    return any(piece.text in small_words("weighing") for piece in board.pieces)


def _one_number(board: Board, first: int, behind: int) -> bool:
    """'thirty four' is that, and never thirty pounds and four ounces."""
    numbers = table("numbers")
    return behind == first + 2 and board.word(first) in numbers["tens"] and board.word(first + 1) in numbers["digits"]


def capacitor_marking(
    board: Board, reader: Reader, ways: Sequence[Grouping], first: int, behind: int
) -> Grouping | None:
    """'thirty five five three seventy' on a dual capacitor: two capacitances and a rating."""
    named = {claim.value for claim in board.labelled("component") if claim.first < behind + 4}
    if board.hints is not None and board.hints.component and not named:
        named = {board.hints.component}
    if not named & set(CAPACITORS):
        return _second_half(board, first, behind)
    whole = [n for n in ways[0].numbers if n.form in ("decimal", "words", "fraction", "written") and n.last > n.first]
    for way in groupings(replace(reader, tenths=False, up_to=None), first, behind, keep=12):
        values = [number.value for number in way.numbers]
        if way.left_over or any(number.form == "point left out" for number in way.numbers):
            continue
        if any(n.first <= left.last < n.last for n in whole for left, _ in pairwise(way.numbers)):
            continue
        rated = values[-1] in RATINGS and len(values) > 1
        pair = values[:-1] if rated else values
        if rated and len(pair) == 1 and pair[0] <= LARGEST:
            return way
        dual = len(pair) == 2 and pair[1] < pair[0] <= LARGEST and pair[1] <= SMALLER_HALF
        sized = dual and names_size(board, first, behind, marked=True) and usual_halves(pair[0], pair[1])
        if dual and (rated or "dual capacitor" in named or sized):
            return way
    return None


def _second_half(board: Board, first: int, behind: int) -> Grouping | None:
    """'thirty five over five four forty' with no capacitor named: the smaller half and the rating."""
    before = board.pieces[first - 2] if first >= 2 else None
    if board.word(first - 1) not in small_words("halves_over") or before is None or not is_number_word(before):
        return None
    for way in groupings(Reader(board.pieces), first, behind, keep=12):
        values = [number.value for number in way.numbers]
        halves = {Decimal(str(v)) for v in table("plates")["dual_small"]}
        if len(values) == 2 and values[0] in halves and values[1] in RATINGS and not way.left_over:
            return way
    return None


def names_size(board: Board, first: int, behind: int, *, marked: bool) -> bool:
    """'a forty five five capacitor', 'the cap is a forty five plus five': what it is, not what it reads."""
    owner = board.owner[behind] if behind < len(board.pieces) else None
    capacitor = owner is not None and owner.label == "component" and "capacitor" in owner.value
    return (marked and board.word(first - 1) == "a") or capacitor


def usual_halves(large: Decimal, small: Decimal) -> bool:
    """Return whether two capacitances are the usual halves of a dual capacitor."""
    plates = table("plates")
    return large in {Decimal(str(v)) for v in plates["dual_large"]} and small in {
        Decimal(str(v)) for v in plates["dual_small"]
    }
