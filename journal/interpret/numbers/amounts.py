"""Amounts: numbers with their units as said, which are not yet readings; and what the unit words mean."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Any

from journal.domain.kind import Kind
from journal.domain.unit_table import can_measure
from journal.interpret.board import Board, Hit
from journal.interpret.numbers.runs import is_number_word
from journal.interpret.vocabulary import small_words, table


@dataclass(frozen=True, slots=True)
class Amount:
    """One quantity as said: ``value``, or ``low``/``high``; its unit where one was said.

    ``unit`` is a code, or 'shared N' for a form whose unit the place decides; ``rivals`` are other values of the
    same words
    with the reason; ``doubts`` are (code, why) found while reading the number.
    """

    first: int
    last: int  # with its unit
    number_first: int
    number_last: int
    value: Decimal | None = None
    low: Decimal | None = None
    high: Decimal | None = None
    unit: str | None = None
    unit_form: str = ""
    hint: str | None = None
    hedged: bool = False
    below: bool = False
    rivals: tuple[tuple[Decimal, str], ...] = ()
    doubts: tuple[tuple[str, str], ...] = ()
    run: int = 0  # amounts of one run of words are a list
    form: str = ""
    size: bool = False  # says what a part is: 'a forty five five capacitor'
    repeated: bool = False  # 'the same' as the number before
    confirmed: bool = False  # said once more by its digits
    difference: bool = False  # 'four over set'

    @property
    def key(self) -> Decimal:
        """The number that places this amount: value, or the end that was said."""
        for number in (self.value, self.high, self.low):
            if number is not None:
                return number
        raise ValueError("an amount without a number")


def unit_body(code: str | None) -> dict[str, Any]:
    """Return what ``units.toml`` says about a unit; nothing for none."""
    data: dict[str, Any] = table("units")
    body: dict[str, Any] = data.get(code, {}) if code and not code.startswith("shared") else {}
    return body


def shared_unit(code: str) -> dict[str, Any]:
    """Return the [[shared]] entry behind 'shared N'."""
    entry: dict[str, Any] = table("units")["shared"][int(code.split()[1])]
    return entry


def units_of(code: str) -> tuple[str, ...]:
    """Return the units that a form may mean: one, or all of a [[shared]] entry."""
    if not code.startswith("shared"):
        return (code,)
    entry = shared_unit(code)
    return (entry["unit"], *(meaning["unit"] for meaning in entry.get("when", ())))


@cache
def _typed() -> dict[str, str]:
    units = table("units")
    signs = {sign: code for code, body in units.items() if code != "shared" for sign in body.get("typed", ())}
    return signs | {sign: f"shared {n}" for n, entry in enumerate(units["shared"]) for sign in entry.get("typed", ())}


def unit_at(board: Board, at: int, *, close: bool = True) -> tuple[str, int] | None:
    """Return (unit, last token) of the unit that starts at a token; ``close`` allows weak forms too."""
    if at >= len(board.pieces) or board.owner[at] is not None:
        return None
    piece = board.pieces[at]
    hit = board.starts("units", at)
    typed = _typed().get(piece.raw) if board.utterance.heard_by != "vosk" or piece.glued else None
    if hit and hit.name == "second" and board.word(hit.last) == "second" and _is_ordinal(board, hit.last + 1):
        return None  # 'first one's twenty one point three second's twenty one'
    if hit and opens_next(board, hit):
        hit = next((h for h in board.hits["units"] if h.first == at and h.last < hit.last), hit)
    if hit and board.free(hit.first, hit.last) and (hit.last > at or typed is None):
        return hit.name, hit.last
    if typed:
        return typed, at
    weak = board.starts("weak units", at) if close else None
    return (weak.name, weak.last) if weak and not _only_agrees(board, weak) else None


def _only_agrees(board: Board, hit: Hit) -> bool:
    """'box is forty okay now the coil': no 'k' misheard, unless ohms are spoken of; 'parts' are many things."""
    if board.word(hit.first) not in table("units")[hit.name].get("misheard", ()):
        return False
    if not can_measure(hit.name, Kind.RESISTANCE):
        return not any(can_measure(hit.name, Kind(kind.name)) for kind in board.hits.get("kinds", ()))
    said = any(kind.name == Kind.RESISTANCE for kind in board.hits.get("kinds", ()))
    carried = (
        board.hints is not None and board.hints.unit is not None and can_measure(board.hints.unit, Kind.RESISTANCE)
    )
    sensed = any(claim.value == "sensor" for claim in board.labelled("component"))
    return not (said or carried or sensed)


def opens_next(board: Board, hit: Hit) -> bool:
    """'took out three pounds suction's at sixty': the unit's last word is a place with a number of its own."""
    at = hit.last + 1
    while board.word(at) in small_words("copulas") | small_words("up_down") | {"to"}:
        at += 1
    told = hit.last > hit.first and at > hit.last + 1 and at < len(board.pieces) and is_number_word(board.pieces[at])
    return told and board.starts("components", hit.last) is not None


def _is_ordinal(board: Board, behind: int) -> bool:
    """'unit three second stage': which of them, and no time."""
    return board.word(behind) in ("'s", *small_words("ordered_things"))


def tails(board: Board) -> list[Hit]:
    """Return the phrases that belong to a number before them: 'below zero', 'over ambient', 'under set'."""
    hits = [
        hit for context in ("below", "against_plus", "against_minus") for hit in board.hits.get(f"hedges {context}", ())
    ]
    known = degree_forms()
    found = []
    for hit in hits:
        before = board.pieces[hit.first - 1] if hit.first else None
        if before is not None and hit.last > hit.first and (is_number_word(before) or before.text in known):
            found.append(hit)
    return found


@cache
def degree_forms() -> frozenset[str]:
    """Return the words and signs for 'degrees'."""
    return frozenset(shared_unit(degrees())["forms"])


@cache
def degrees() -> str:
    """Return the name of the shared unit 'degrees'."""
    return next(
        f"shared {place}" for place, entry in enumerate(table("units")["shared"]) if "degrees" in entry["forms"]
    )
