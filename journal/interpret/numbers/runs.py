"""Runs of number words cut into numbers, best first; the losers stay alternatives.

One number is cheaper than two, like numbers are cheaper than unlike ones, and a word that fits nowhere costs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from journal.interpret.document import Piece
from journal.interpret.numbers.number_words import words
from journal.interpret.numbers.numbers import Number, Reader
from journal.interpret.vocabulary import small_words, table


@dataclass(frozen=True, slots=True)
class Grouping:
    """A run cut into numbers; ``left_over`` counts tokens that fit into none of them."""

    numbers: tuple[Number, ...]
    cost: float
    left_over: int = 0


def groupings(reader: Reader, first: int, behind: int, keep: int = 5) -> list[Grouping]:
    """Return ways to cut tokens ``first`` to ``behind`` - 1 into numbers, best first.

    'and' and commas between numbers part them; any other token that fits nowhere is left over, at a cost.  The
    work grows
    with the run's length only: at each token the ``keep`` best ways are kept.
    """
    ways: dict[int, list[Grouping]] = {first: [Grouping((), 0.0)]}
    for at in range(first, behind):
        here = sorted(ways.pop(at, ()), key=lambda way: way.cost)[:keep]
        if not here:
            continue
        token = reader.pieces[at].text
        for way in here:
            parting = token in SEPARATORS and bool(way.numbers)
            price = 0.0 if parting else _price_of_leaving(reader.pieces, at)
            skipped = Grouping(way.numbers, way.cost + price, way.left_over + (not parting))
            ways.setdefault(at + 1, []).append(skipped)
        for number in reader.numbers_at(at):
            if number.last >= behind:
                continue
            for way in here:
                cost = way.cost + 1.0 + number.cost + (_unlike(way.numbers[-1], number) if way.numbers else 0.0)
                ways.setdefault(number.last + 1, []).append(Grouping((*way.numbers, number), cost, way.left_over))
    return sorted((way for way in ways.get(behind, ()) if way.numbers), key=lambda way: way.cost)[:keep]


def _price_of_leaving(pieces: Sequence[Piece], at: int) -> float:
    """What it costs to leave a token out: much for one with a value, or for a point with digits behind it."""
    if _counts(pieces[at]):
        return 4.0
    behind = pieces[at + 1] if at + 1 < len(pieces) else None
    if pieces[at].text in words().points and behind is not None and is_number_word(behind):
        return 3.0
    return 1.2


def runs(pieces: Sequence[Piece], free: Sequence[bool]) -> list[tuple[int, int]]:
    """Return (first, behind) of every stretch of free tokens that numbers may be made of, 'and' inside included."""
    found: list[tuple[int, int]] = []
    at = 0
    while at < len(pieces):
        if not free[at] or not _opens(pieces, at):
            at += 1
            continue
        last = place = at
        while place < len(pieces) and free[place]:
            if is_number_word(pieces[place]):
                last = place
            elif not (pieces[place].text in SEPARATORS or _opens(pieces, place) or _slash(pieces, place)):
                break
            place += 1
        if any(_counts(piece) for piece in pieces[at : last + 1]):
            found.append((at, last + 1))
        at = max(last, at) + 1
    return found


SEPARATORS = small_words("separators")


def _slash(pieces: Sequence[Piece], at: int) -> bool:
    """The stroke of a written fraction: '3/8'."""
    if pieces[at].text != "/" or not 0 < at < len(pieces) - 1:
        return False
    over, under = pieces[at - 1].number, pieces[at + 1].number
    return over is not None and under is not None and over < under and under in (2, 4, 8, 16, 32)


def _opens(pieces: Sequence[Piece], at: int) -> bool:
    """A number word, an article before one ('a hundred', 'an eighth'), or a minus sign before digits."""
    if is_number_word(pieces[at]):
        return True
    behind = pieces[at + 1] if at + 1 < len(pieces) else None
    if behind is None:
        return False
    if pieces[at].text in table("numbers")["articles"]:
        return behind.text in words().scales or behind.text in words().fractions
    if pieces[at].text in small_words("minus_signs"):
        return behind.number is not None and behind.glued and not pieces[at].glued
    return False


def _counts(piece: Piece) -> bool:
    """A piece that has a value of its own: not 'point', 'minus', 'oh' or a bare 'third'."""
    w = words()
    return (
        piece.number is not None
        or piece.text in w.digits
        or piece.text in w.teens
        or piece.text in w.tens
        or piece.text in w.signs
        or piece.text in w.scales
        or piece.text in small_words("values_alone")
    )


def _unlike(left: Number, right: Number) -> float:
    """Numbers of a list are of one size: cost of a jump in length or form between neighbours."""
    size = abs(len(str(int(abs(left.value)))) - len(str(int(abs(right.value)))))
    return 0.2 * size + (0.0 if left.form == right.form else 0.05)


def is_number_word(piece: Piece) -> bool:
    """Return whether a piece may be part of a number all by itself (not 'and', 'a')."""
    w = words()
    text = piece.text
    return (
        piece.number is not None
        or text in w.ones
        or text in w.teens
        or text in w.tens
        or text in w.scales
        or text in w.fractions
        or text in w.points
        or text in w.minus
        or text in w.signs
        or text in w.repeat
    )


def confusable_values(reader: Reader, number: Number) -> list[tuple[Decimal, str, str]]:
    """Return (value, heard, meant) for every word of a number that sounds like another number word."""
    table_ = table("numbers")["confusable"]
    found: list[tuple[Decimal, str, str]] = []
    for place in range(number.first, number.last + 1):
        piece = reader.pieces[place]
        for other in table_.get(piece.text, ()):
            swapped = Piece(other, other, piece.word, False, None, piece.start, piece.end, piece.confidence)
            pieces = (*reader.pieces[:place], swapped, *reader.pieces[place + 1 :])
            again = [n for n in Reader(pieces, reader.tenths).numbers_at(number.first) if n.last == number.last]
            if again and again[0].value != number.value and again[0].form == number.form:
                found.append((again[0].value, piece.text, other))
    return found
