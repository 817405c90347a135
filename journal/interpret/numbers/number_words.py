"""The words that numbers are made of, and whole numbers in every form they are spoken in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Any

from journal.interpret.document import Piece
from journal.interpret.vocabulary import small_words, table


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
    if at < len(text) and text[at] in small_words("one_hundred"):
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
    """Yield numbers spoken in pairs: 'two seventeen' 217, 'four oh nine' 409, 'eleven fifty' 1150, 'twelve oh
    five' 1205, 'one oh seventy five' 1075."""
    w = words()
    for behind, head in small(text, at):
        if behind >= len(text):
            continue
        if text[behind] in w.zeros:
            for end, tail in small(text, behind + 1):
                if tail < 10:
                    yield end, head * 100 + tail
                elif head < 10:
                    yield end, head * 1000 + tail
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


def behind_point(text: Sequence[str], at: int) -> Iterator[tuple[int, str, float]]:
    """Yield what may stand behind 'point', with its cost: digits one by one, or a pair ('seventy five', 'oh five')."""
    for end, digits in digit_string(text, at):
        yield end, digits, 0.0
    for end, value in small(text, at):
        if value >= 10:
            yield end, str(value), 0.1


def wholes_at(text: Sequence[str], at: int) -> Iterator[tuple[int, Decimal, str, float]]:
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


def written_at(pieces: Sequence[Piece], at: int) -> Iterator[tuple[int, Decimal, str, float]]:
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


def fractions_at(text: Sequence[str], at: int) -> Iterator[tuple[int, Decimal]]:
    """Yield parts of one: 'half a', 'a quarter', 'three eighths', 'one half', 'five eighths'."""
    w = words()
    word = text[at] if at < len(text) else ""
    behind = text[at + 1] if at + 1 < len(text) else ""
    if word == "half":
        yield at + 1, Decimal("0.5")
    elif word in w.fractions and behind == "of":
        yield at + 1, Decimal(1) / w.fractions[word]
    elif word == "quarter" and behind not in small_words("behind_no_quarter"):
        yield at + 1, Decimal("0.25")
    elif word in table("numbers")["articles"] and behind in w.fractions:
        yield at + 2, Decimal(1) / w.fractions[behind]
    elif (word in w.digits or word in w.teens) and behind in w.fractions:
        over = w.digits.get(word) or w.teens[word]
        if over < w.fractions[behind] or w.fractions[behind] == 2:
            yield at + 2, Decimal(over) / w.fractions[behind]
