"""Numbers that a recogniser wrote partly in digits and partly in words: '25 point two', '170 for psi', 'to oh four'.

Whisper writes numbers in digits and breaks off where a word sounds like another: 'point' and 'oh' behind digits, 'four'
before a unit as 'for', 'two' as 'to'.  It also parts the hundreds or tens from what follows them ('200 and 2 psi',
'140 9 amps') and writes single digits apart ('1 1 7 psi').  Here the pieces of one number become one piece again.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING

from journal.interpret.vocabulary import small_words, table

if TYPE_CHECKING:
    from journal.interpret.document import Piece

MOST = 10**9  # no number of this trade is beyond; a recogniser's garble may be


def joined(pieces: Sequence[Piece]) -> Iterator[Piece]:
    """Yield the pieces, those of one mixed number as one."""
    at = 0
    while at < len(pieces):
        for rule in (_set_point, _point, _four, _two, _oh_six, _rest, _pair, _single_digits):
            found = rule(pieces, at)
            if found is not None:
                at, piece = found
                yield piece
                break
        else:
            yield pieces[at]
            at += 1


def _set_point(pieces: Sequence[Piece], at: int) -> tuple[int, Piece] | None:
    """'set point thirty eight': behind 'set' the point is no decimal, since tenths go digit by digit."""
    if at + 2 >= len(pieces) or pieces[at].text != "set" or pieces[at + 1].text != "point":
        return None
    behind = pieces[at + 2]
    if behind.text not in table("numbers")["teens"] and behind.text not in table("numbers")["tens"]:
        return None
    mark = pieces[at + 1]
    return at + 2, replace(
        pieces[at], text="setpoint", end=mark.end, confidence=min(pieces[at].confidence, mark.confidence)
    )


def _point(pieces: Sequence[Piece], at: int) -> tuple[int, Piece] | None:
    """'25 point two', '4 point 2', and 'point 4' with nothing before it."""
    whole, points = _is_whole(pieces[at]), table("numbers")["points"]
    mark = at + 1 if whole else at
    if whole and mark + 1 < len(pieces) and pieces[mark].text == "." and pieces[mark + 1].text in points:
        mark += 1  # 'fan 45. Point for microfarads'
    if mark >= len(pieces) or pieces[mark].text not in points:
        return None
    if not whole and at and _is_number(pieces[at - 1]):
        return None  # 'twenty five point 4': read elsewhere
    places, behind = _places(pieces, mark + 1)
    written = whole or any(piece.number is not None for piece in pieces[mark + 1 : behind])
    if not places or not written:
        return None
    before = pieces[at].text.replace(",", "") if whole else "0"
    return behind, _one(pieces[at:behind], Decimal(f"{before}.{places}"))


def _places(pieces: Sequence[Piece], at: int) -> tuple[str, int]:
    """The digits behind a point, and the token after them; a dash between single digits is passed over."""
    digits, numbers = "", table("numbers")
    while at < len(pieces):
        piece = pieces[at]
        dash = piece.text == "-" and piece.glued and digits and at + 1 < len(pieces) and _is_whole(pieces[at + 1])
        if _is_whole(piece) and (not digits or len(piece.text) == 1):
            digits += piece.text
        elif piece.text in numbers["digits"] or piece.text in numbers["zeros"]:
            digits += str({**numbers["digits"], **numbers["zeros"]}[piece.text])
        elif piece.text in numbers["sounds_at_units"] and at + 1 < len(pieces) and pieces[at + 1].text in _units():
            digits += str(numbers["sounds_at_units"][piece.text])
        elif not dash:
            break
        at += 1
    return digits, at


def _four(pieces: Sequence[Piece], at: int) -> tuple[int, Piece] | None:
    """'170 for psi' is 174 psi: nobody says 'for' between a round number and its unit."""
    if at + 2 >= len(pieces) or not _is_whole(pieces[at]) or pieces[at + 1].text != "for":
        return None
    value = pieces[at].number
    if value is None or not 20 <= value < MOST or value % 10 or pieces[at + 2].text not in _units():
        return None
    return at + 2, _one(pieces[at : at + 2], value + 4)


def _two(pieces: Sequence[Piece], at: int) -> tuple[int, Piece] | None:
    """'to oh four' is 'two oh four'."""
    if at + 2 >= len(pieces) or pieces[at].text not in small_words("like_two") or pieces[at + 1].text != "oh":
        return None
    return (at + 1, replace(pieces[at], text="two")) if pieces[at + 2].text in table("numbers")["digits"] else None


def _oh_six(pieces: Sequence[Piece], at: int) -> tuple[int, Piece] | None:
    """'two ohs x volts' is 'two oh six volts'."""
    if pieces[at].text == "ohs" and at + 1 < len(pieces) and pieces[at + 1].text == "x":
        return at + 1, replace(pieces[at], text="oh")
    if pieces[at].text == "x" and at and pieces[at - 1].text == "ohs":
        return at + 1, replace(pieces[at], text="six")
    return None


def _rest(pieces: Sequence[Piece], at: int) -> tuple[int, Piece] | None:
    """'200 and 2 psi' is 202 psi, '140 9 amps' 149 amps, '100-8 degrees' 108: what fills the noughts before a unit."""
    round_one = pieces[at].number
    if round_one is None or not _is_whole(pieces[at]) or not 100 <= round_one < MOST or round_one % 10:
        return None  # '20 and 5 amps' are two
    behind = at + 1
    tied = behind < len(pieces) and pieces[behind].text in small_words("before_the_rest")
    behind += tied
    if behind + 1 >= len(pieces) or pieces[behind + 1].text not in _units():
        return None
    rest = _small(pieces[behind])
    if rest is None or not 0 < rest < 10 ** _noughts(round_one) or (not tied and rest >= 10):
        return None
    return behind + 1, _one(pieces[at : behind + 1], round_one + rest)


def _small(piece: Piece) -> int | None:
    """A whole number below 100 in digits or in one word."""
    numbers = table("numbers")
    if _is_whole(piece):
        return int(piece.text.replace(",", ""))
    found = next(
        (numbers[name][piece.text] for name in ("digits", "teens", "tens") if piece.text in numbers[name]), None
    )
    return int(found) if found is not None else None


def _noughts(number: Decimal) -> int:
    text = str(int(number))
    return len(text) - len(text.rstrip("0"))


def _pair(pieces: Sequence[Piece], at: int) -> tuple[int, Piece] | None:
    """'two 12 volts' is 212 volts, 'is 21-11 microns' 2111 microns: hundreds and the rest apart, before a unit."""
    hundreds = _small(pieces[at])
    behind = at + 1
    dashed = behind < len(pieces) and pieces[behind].text == "-"
    behind += dashed
    if hundreds is None or behind + 1 >= len(pieces) or pieces[behind + 1].text not in _units():
        return None
    rest = pieces[behind]
    if not (_is_whole(rest) and len(rest.text) == 2 and rest.text[0] != "0"):
        return None
    before = pieces[at - 1].text if at else ""
    led = before in small_words("copulas")
    if hundreds >= 10:  # '20-25 degrees' is a range, and so is '45-40', '12 25 amps' may be two
        whole = led and dashed and hundreds > int(rest.text) and pieces[behind + 1].text in _units("thousands")
    elif pieces[at].number is None:  # a word before digits
        letter = len(before) == 1 and before.isalpha()
        whole = not (dashed or letter or before in small_words("before_its_number"))
    else:  # '4-20 milliamps' is a range
        whole = led and not dashed
    return (behind + 1, _one(pieces[at : behind + 1], Decimal(100 * hundreds + int(rest.text)))) if whole else None


def _single_digits(pieces: Sequence[Piece], at: int) -> tuple[int, Piece] | None:
    """'is at 3 1 4 volts', 'at 3, 2, 2 psi': three digits said one by one behind a verb, and their unit."""
    if not at or pieces[at - 1].text not in small_words("copulas"):
        return None
    digits, behind = "", at
    while behind < len(pieces) and len(pieces[behind].text) == 1 and pieces[behind].text.isdigit():
        digits += pieces[behind].text
        behind += 1
        comma = behind + 1 < len(pieces) and pieces[behind].text == "," and pieces[behind + 1].text.isdigit()
        behind += comma
    if len(digits) != 3 or behind >= len(pieces) or pieces[behind].text not in _units():
        return None
    return behind, _one(pieces[at:behind], Decimal(digits))


def _one(pieces: Sequence[Piece], value: Decimal) -> Piece:
    raw = " ".join(piece.raw for piece in pieces)
    least = min(piece.confidence for piece in pieces)
    return replace(pieces[0], text=str(value), raw=raw, number=value, end=pieces[-1].end, confidence=least)


def _is_whole(piece: Piece) -> bool:
    return piece.number is not None and piece.text.replace(",", "").isdigit()


def _is_number(piece: Piece) -> bool:
    numbers = table("numbers")
    return piece.number is not None or any(piece.text in numbers[name] for name in ("digits", "teens", "tens", "zeros"))


@cache
def _units(flag: str = "") -> frozenset[str]:
    """The first words that units are said with; with ``flag`` those of units that have it."""
    bodies = [body for body in table("units").values() if not flag or (isinstance(body, dict) and body.get(flag))]
    return frozenset(form.split()[0].lower() for body in bodies for form in _forms(body))


def _forms(body: object) -> list[str]:
    return [str(form) for form in body.get("forms", ())] if isinstance(body, dict) else []
