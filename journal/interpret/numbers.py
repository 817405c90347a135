"""Number words as candidates with spans: every value that words may mean, never rewritten text.

``numbers_at`` lists all numbers that start at a token; ``groupings`` cuts a run of number words into numbers, best first.
Which grouping holds is decided by cost: one number is cheaper than two, a said decimal point is cheaper than one that
was left out, a pause inside a number costs.  The losers stay alternatives.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from itertools import pairwise
from typing import Any

from journal.interpret.document import Piece
from journal.interpret.vocabulary import table

PAUSE = 0.35  # seconds between two words from which on a pause speaks against one number
FAR_FETCHED = 1.5  # cost of a number beyond what its unit usually has
LONGEST = 14  # tokens that one number may have


@dataclass(frozen=True, slots=True)
class Number:
    """A value that tokens ``first`` to ``last`` may mean; ``form`` says how it was spoken, ``cost`` how far-fetched it is."""

    first: int
    last: int
    value: Decimal
    form: str
    cost: float = 0.0


@dataclass(frozen=True, slots=True)
class _Words:
    """The number words by class."""

    zeros: dict[str, int]
    digits: dict[str, int]
    teens: dict[str, int]
    tens: dict[str, int]
    scales: dict[str, int]
    fractions: dict[str, int]
    signs: dict[str, Decimal]
    points: frozenset[str]
    minus: frozenset[str]
    repeat: dict[str, int]
    ones: dict[str, int]  # zeros and digits


@cache
def words() -> _Words:
    data: dict[str, Any] = table("numbers")
    return _Words(
        data["zeros"], data["digits"], data["teens"], data["tens"], data["scales"], data["fractions"],
        {sign: Decimal(value) for sign, value in data["signs"].items()},
        frozenset(data["points"]), frozenset(data["minus"]), data["repeat"], {**data["zeros"], **data["digits"]},
    )  # fmt: skip


def small(text: Sequence[str], at: int) -> Iterator[tuple[int, int]]:
    """Yield (next token, value) for 1 to 99 in plain words: 'seven', 'seventeen', 'seventy', 'seventy seven'."""
    if at >= len(text):
        return
    w, word = words(), text[at]
    if word in w.digits:
        yield at + 1, w.digits[word]
    elif word in w.teens:
        yield at + 1, w.teens[word]
    elif word in w.tens:
        if at + 1 < len(text) and text[at + 1] in w.digits:
            yield at + 2, w.tens[word] + w.digits[text[at + 1]]
        yield at + 1, w.tens[word]


def below_thousand(text: Sequence[str], at: int) -> Iterator[tuple[int, int]]:
    """Yield 1 to 9,999 with at most one 'hundred': 'twelve hundred', 'a hundred and eighty', 'six'."""
    heads: list[tuple[int, int]] = list(small(text, at))
    yield from heads
    if "hundred" not in text[at : at + 4]:
        return
    if at < len(text) and text[at] in ("a", "hundred"):
        heads = [(at + (text[at] == "a"), 1)]
    for behind, value in heads:
        if behind < len(text) and text[behind] == "hundred":
            yield behind + 1, value * 100
            rest = behind + 2 if behind + 1 < len(text) and text[behind + 1] == "and" else behind + 1
            for end, more in small(text, rest):
                yield end, value * 100 + more


def standard(text: Sequence[str], at: int) -> Iterator[tuple[int, int]]:
    """Yield whole numbers as schools teach them, up to 999,999,999."""
    yield from below_thousand(text, at)
    for scale, limit in ((1_000, 1_000), (1_000_000, 1_000)):
        name = "thousand" if scale == 1_000 else "million"
        if name not in text[at:]:
            continue
        heads = list(below_thousand(text, at)) or []
        if at < len(text) and text[at] == "a":
            heads.append((at + 1, 1))
        for behind, value in heads:
            if value >= limit or behind >= len(text) or text[behind] != name:
                continue
            yield behind + 1, value * scale
            rest = behind + 2 if behind + 1 < len(text) and text[behind + 1] == "and" else behind + 1
            tails = below_thousand(text, rest) if scale == 1_000 else standard(text, rest)
            for end, more in tails:
                if more < scale:
                    yield end, value * scale + more


def paired(text: Sequence[str], at: int) -> Iterator[tuple[int, int]]:
    """Yield numbers spoken in pairs: 'two seventeen' 217, 'four oh nine' 409, 'eleven fifty' 1150, 'twelve oh five' 1205."""
    w = words()
    for behind, head in small(text, at):
        if behind >= len(text):
            continue
        if text[behind] in w.zeros:
            for end, tail in small(text, behind + 1):
                if tail < 10:
                    yield end, head * 100 + tail
            continue
        for end, tail in small(text, behind):
            if tail >= 10:
                yield end, head * 100 + tail


def digit_string(text: Sequence[str], at: int) -> Iterator[tuple[int, str]]:
    """Yield (next token, digits) for single digits in a row, 'double oh' and 'triple five' included."""
    w = words()
    digits, place = "", at
    while place < len(text):
        word = text[place]
        if word in w.ones:
            digits, place = digits + str(w.ones[word]), place + 1
        elif word in w.repeat and place + 1 < len(text) and text[place + 1] in w.ones:
            digits, place = digits + str(w.ones[text[place + 1]]) * w.repeat[word], place + 2
        else:
            return
        yield place, digits


def _decimals(text: Sequence[str], at: int) -> Iterator[tuple[int, str, float]]:
    """Yield what may stand behind 'point', with its cost: digits one by one, or a pair ('seventy five', 'oh five')."""
    for end, digits in digit_string(text, at):
        yield end, digits, 0.0
    for end, value in small(text, at):
        if value >= 10:
            yield end, str(value), 0.1


def _wholes(text: Sequence[str], at: int) -> Iterator[tuple[int, Decimal, str, float]]:
    """Yield whole numbers in every form, with form and cost."""
    for end, value in standard(text, at):
        yield end, Decimal(value), "words", 0.0
    for end, value in paired(text, at):
        yield end, Decimal(value), "pair", 0.05 if value < 1000 else 0.25
    for end, digits in digit_string(text, at):
        if len(digits) == 1:
            if digits == "0":
                yield end, Decimal(0), "words", 0.4 if text[at] != "zero" else 0.0
        elif digits[0] != "0":
            yield end, Decimal(digits), "digits", 0.06 + _length_cost(len(digits))


def _length_cost(digits: int) -> float:
    """Single digits in a row are mostly three or four; two may hide a point, many are a list."""
    return {2: 0.3, 3: 0.0, 4: 0.1}.get(digits, 0.5 * (digits - 3))


def _written(pieces: Sequence[Piece], at: int) -> Iterator[tuple[int, Decimal, str, float]]:
    """Yield numbers written in digits: '24.30', '7 1/2', '3/8', '½'."""
    w, here = words(), pieces[at]
    if here.text in w.signs:
        yield at + 1, w.signs[here.text], "fraction", 0.0
        return
    if here.number is None:
        return
    yield at + 1, here.number, "written", 0.0
    if at + 1 < len(pieces) and pieces[at + 1].text in w.signs:
        yield at + 2, here.number + w.signs[pieces[at + 1].text], "fraction", 0.0
    for start, whole in ((at, Decimal(0)), (at + 1, here.number)):
        parts = pieces[start : start + 3]
        if len(parts) == 3 and parts[1].text == "/" and parts[0].number is not None and parts[2].number is not None:
            over, under = parts[0].number, parts[2].number
            if (
                under in (2, 3, 4, 8, 16, 32)
                and over < under
                and over == int(over)
                and (start == at or not parts[0].glued)
            ):
                yield start + 3, whole + over / under, "fraction", 0.0


def _fractions(text: Sequence[str], at: int) -> Iterator[tuple[int, Decimal]]:
    """Yield parts of one: 'half a', 'a quarter', 'three eighths', 'one half', 'five eighths'."""
    w = words()
    word = text[at] if at < len(text) else ""
    behind = text[at + 1] if at + 1 < len(text) else ""
    if word == "half":
        yield at + 1, Decimal("0.5")
    elif word in w.fractions and behind == "of":
        yield at + 1, Decimal(1) / w.fractions[word]
    elif word in ("a", "an") and behind in w.fractions:
        yield at + 2, Decimal(1) / w.fractions[behind]
    elif (word in w.digits or word in w.teens) and behind in w.fractions:
        over = w.digits.get(word) or w.teens[word]
        if over < w.fractions[behind] or behind in ("half", "halves"):
            yield at + 2, Decimal(over) / w.fractions[behind]


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
        if text[0] in w.minus or text[0] in ("-", "−"):
            if at + 1 < len(self.pieces):
                for end, value, form, cost in self._positive(text[1:], at + 1):
                    yield end, -value, form, cost
            return
        yield from self._positive(text, at)

    def _positive(self, text: tuple[str, ...], at: int) -> Iterator[tuple[int, Decimal, str, float]]:
        w = words()
        plain = [(end + at, value, form, cost) for end, value, form, cost in _wholes(text, 0)]
        written = list(_written(self.pieces, at)) if at < len(self.pieces) else []
        for end, value, form, cost in plain + written:
            yield end, value, form, cost
            for scaled, more in self._scaled(end, value, form):
                yield scaled, more, "words", cost
        for end, value in _fractions(text, 0):
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
        heads = [(end - at, value, cost) for end, value, _, cost in wholes]
        if text and text[0] in w.zeros:
            heads.append((1, Decimal(0), 0.0))
        if text and text[0] in w.points:
            heads.append((0, Decimal(0), 0.3))
        for end, value, cost in heads:
            if end < len(text) and text[end] in w.points:
                for last, digits, more in _decimals(text, end + 1):
                    yield at + last, Decimal(f"{value}.{digits}"), "decimal", min(cost, 0.3) + more

    def _and_a_half(self, end: int, value: Decimal, cost: float) -> Iterator[tuple[int, Decimal, str, float]]:
        if value != int(value) or end >= len(self.pieces):
            return
        joined = self.pieces[end].text == "and"
        text = tuple(piece.text for piece in self.pieces[end + joined : end + joined + 3])
        if not text or text[0] in ("third", "fourth", "fifth"):
            return
        for last, part in _fractions(text, 0):
            if joined or text[0] in ("a", "half"):
                yield end + joined + last, value + part, "fraction", cost

    def _left_out_point(
        self, text: tuple[str, ...], end: int, at: int, value: Decimal
    ) -> Iterator[tuple[int, Decimal, str, float]]:
        """'twenty six four' 26.4, and where tenths are usual 'seven eight' 7.8 and 'thirty two five' 32.5."""
        w = words()
        if end - at >= len(text) or text[end - at] not in w.ones or text[end - at] == "o":
            return
        digit = w.ones[text[end - at]]
        if value < 10:
            cost = 0.15 if self.tenths else 0.5
        elif value >= 100:
            cost = 0.9
        elif value < 100 and value % 10 == 0:
            if digit:
                return  # 'thirty two' is 32
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


@dataclass(frozen=True, slots=True)
class Grouping:
    """A run cut into numbers; ``left_over`` counts tokens that fit into none of them."""

    numbers: tuple[Number, ...]
    cost: float
    left_over: int = 0


def groupings(reader: Reader, first: int, behind: int, keep: int = 5) -> list[Grouping]:
    """Return ways to cut tokens ``first`` to ``behind`` - 1 into numbers, best first.

    'and' and commas between numbers part them; any other token that fits nowhere is left over, at a cost.  The work grows
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


SEPARATORS = frozenset(("and", ",", "&"))


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
    if pieces[at].text in ("a", "an"):
        return behind.text in words().scales or behind.text in words().fractions
    if pieces[at].text in ("-", "−"):
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
        or piece.text in ("half", "quarter", "third", "tenth", "eighth", "quarters", "zero")
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
