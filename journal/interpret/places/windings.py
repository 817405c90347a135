"""Parts with windings: whose ends were measured, and whose coil."""

from __future__ import annotations

from journal.domain.kind import Kind
from journal.interpret.board import Board
from journal.interpret.numbers.amounts import Amount
from journal.interpret.places.naming import part_meant
from journal.interpret.places.points import Points
from journal.interpret.quantities.surroundings import Surroundings
from journal.interpret.vocabulary import table


def has_windings(points: Points | None) -> bool:
    """Return whether points are ends of a winding, or all of them at once ('each of these to ground')."""
    if points is None:
        return False
    return points.group or any(half[0][0] in ("winding", "motor") for half in points.halves)


def wound_part(around: Surroundings) -> str | None:
    """Return the part whose windings are measured: the one carried over if it has any, the one it is a part of ('the
    overload closed' is of a compressor), else the last that was named."""
    body = table("components")[around.component] if around.component is not None else {}
    part_of: str | None = body.get("wound")
    return around.component if body.get("turns") else part_of or around.context.motor


def wound_later(board: Board, amount: Amount) -> str | None:
    """'run to start four ohms so the blower motor's fine': the one part with windings that is named behind."""
    parts = table("components")
    names = {c.value for c in board.labelled("component") if c.first > amount.last and parts[c.value].get("turns")}
    return str(names.pop()) if len(names) == 1 else None


def part_here(name: str, board: Board, first: int, around: Surroundings, kind: Kind) -> str:
    """Return what a part named is for the number or state at token ``first``: a coil with ohms is that of the part
    named before it, heaters in a defrost are defrost heaters."""
    meant = part_meant(name, around.words, around.context, kind)
    return _coil_of_named(board, first, around) or meant if name == "coil" and meant != name else meant


def _coil_of_named(board: Board, first: int, around: Surroundings) -> str | None:
    """'solenoid won't open ... coil's nine ohms': here, or else in what was said right before."""
    parts = table("components")
    here = [claim.value for claim in board.labelled("component") if claim.last < first]
    spoken = (*reversed(here), *around.context.spoken_lately())
    return next((str(parts[name]["coil"]) for name in spoken if "coil" in parts[name]), None)
