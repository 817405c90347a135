"""Number words as candidates with spans: every value that words may mean, never rewritten text.

``Reader.numbers_at`` lists all numbers that start at a token, each with its form and what it costs to believe it: a
said decimal point is cheaper than one that was left out, a pause inside a number costs.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from journal.interpret.document import Piece
from journal.interpret.numbers.number_words import behind_point, fractions_at, wholes_at, words, written_at
from journal.interpret.vocabulary import small_words

PAUSE = 0.35  # seconds between two words from which on a pause speaks against one number
FAR_FETCHED = 1.5  # cost of a number beyond what its unit usually has
TWO_DIGITS = 0.4  # cost of 'nine nine point one' being 99.1 and not 9 and 9.1
NOTHING_SAID = 1.0  # cost of 'point oh' being a number of its own and not the beginning of 'point oh six'
LONGEST = 14  # tokens that one number may have


@dataclass(frozen=True, slots=True)
class Number:
    """A value that tokens ``first`` to ``last`` may mean; ``form`` says how it was spoken, ``cost`` how
    far-fetched it is."""

    first: int
    last: int
    value: Decimal
    form: str
    cost: float = 0.0


@dataclass(frozen=True, slots=True)
class Reader:
    """Reads numbers out of pieces, in the light of the unit they will have.

    ``tenths`` makes 'seven eight' 7.8 rather than 78; numbers beyond ``up_to`` are far-fetched.
    """

    pieces: tuple[Piece, ...]
    tenths: bool = False
    up_to: Decimal | None = None

    def numbers_at(self, at: int) -> list[Number]:
        """Return every number that starts at a token, cheapest first, one for each span and value."""
        text = tuple(piece.text for piece in self.pieces[at : at + LONGEST + 2])
        best: dict[tuple[int, Decimal], Number] = {}
        for end, value, form, cost in self._all(text, at):
            doubtful = form in ("pair", "digits", "point left out") or (form == "fraction" and cost > 0)
            far = FAR_FETCHED if self.up_to is not None and abs(value) > self.up_to and doubtful else 0.0
            number = Number(at, end - 1, value, form, cost + far + self._pauses(at, end))
            key = (number.last, value)
            if key not in best or best[key].cost > number.cost:
                best[key] = number
        return sorted(best.values(), key=lambda number: (number.cost, -number.last))

    def _all(self, text: tuple[str, ...], at: int) -> Iterator[tuple[int, Decimal, str, float]]:
        w = words()
        if text[0] in w.minus or text[0] in small_words("minus_signs"):
            if at + 1 < len(self.pieces):
                for end, value, form, cost in self._positive(text[1:], at + 1):
                    yield end, -value, form, cost
            return
        yield from self._positive(text, at)

    def _positive(self, text: tuple[str, ...], at: int) -> Iterator[tuple[int, Decimal, str, float]]:
        w = words()
        plain = [(end + at, value, form, cost) for end, value, form, cost in wholes_at(text, 0)]
        written = list(written_at(self.pieces, at)) if at < len(self.pieces) else []
        for end, value, form, cost in plain + written:
            yield end, value, form, cost
            for scaled, more in self._scaled(end, value, form):
                yield scaled, more, "words", cost
        for end, value in fractions_at(text, 0):
            yield end + at, value, "fraction", 0.05
        decimals = list(self._with_point(text, at, plain))
        yield from decimals
        for end, value, _, cost in decimals:
            for scaled, more in self._scaled(end, value, "decimal"):
                yield scaled, more, "words", cost
        for end, value, form, cost in plain + [one for one in written if one[2] == "written"]:
            yield from self._and_a_half(end, value, cost)
            if form in ("words", "pair") and 1 <= value < 1000:
                yield from self._left_out_point(text, end, at, value)
        if text and text[0] in w.zeros and len(text) > 1 and text[1] in w.digits:
            yield at + 2, Decimal(w.digits[text[1]]), "zero first", 0.7

    def _scaled(self, end: int, value: Decimal, form: str) -> Iterator[tuple[int, Decimal]]:
        if form in ("decimal", "written") and end < len(self.pieces):
            scale = words().scales.get(self.pieces[end].text)
            if scale:
                yield end + 1, value * scale

    def _with_point(
        self, text: tuple[str, ...], at: int, wholes: list[tuple[int, Decimal, str, float]]
    ) -> Iterator[tuple[int, Decimal, str, float]]:
        w = words()
        heads = [(end - at, value, cost, form) for end, value, form, cost in wholes]
        if text and text[0] in w.zeros:
            heads.append((1, Decimal(0), 0.0, "words"))
        if text and text[0] in w.points:
            heads.append((0, Decimal(0), 0.3, "words"))
        for end, value, cost, form in heads:
            if end < len(text) and text[end] in w.points:
                cost = min(cost, 0.3) + (TWO_DIGITS if form == "digits" and value < 100 else 0.0)
                for last, digits, more in behind_point(text, end + 1):
                    nothing = NOTHING_SAID if not value and not digits.strip("0") else 0.0
                    yield at + last, Decimal(f"{value}.{digits}"), "decimal", cost + more + nothing

    def _and_a_half(self, end: int, value: Decimal, cost: float) -> Iterator[tuple[int, Decimal, str, float]]:
        if value != int(value) or end >= len(self.pieces):
            return
        joined = self.pieces[end].text == "and"
        text = tuple(piece.text for piece in self.pieces[end + joined : end + joined + 3])
        if not text or text[0] in small_words("maybe_ordinals"):
            return
        for last, part in fractions_at(text, 0):
            if joined or text[0] in small_words("part_begins"):
                yield end + joined + last, value + part, "fraction", cost

    def _left_out_point(
        self, text: tuple[str, ...], end: int, at: int, value: Decimal
    ) -> Iterator[tuple[int, Decimal, str, float]]:
        """'twenty six four' 26.4, and where tenths are usual 'seven eight' 7.8 and 'thirty two five' 32.5."""
        w = words()
        if value < 10 and end - at + 1 < len(text) and text[end - at] in w.zeros and text[end - at + 1] in w.digits:
            yield (
                end + 2,
                Decimal(f"{value}.0{w.digits[text[end - at + 1]]}"),
                "point left out",
                0.55 if self.tenths else 1.2,
            )
        if end - at >= len(text) or text[end - at] not in w.ones or text[end - at] == "o":
            return
        digit = w.ones[text[end - at]]
        if value < 10:
            cost = 0.15 if self.tenths else 0.5
        elif value >= 100:
            cost = 0.9
        elif value != 10 and value % 10 == 0:
            if digit:
                return  # 'thirty two' is 32, but 'ten two' is 10.2
            cost = 0.7
        else:
            cost = 0.3 if self.tenths else 0.6
        yield end + 1, Decimal(f"{value}.{digit}"), "point left out", cost

    def _pauses(self, first: int, behind: int) -> float:
        cost = 0.0
        for before, after in pairwise(self.pieces[first:behind]):
            if after.start - before.end > PAUSE:
                cost += 0.8
            if after.number is not None and before.number is not None:
                cost += 0.8
        return cost
