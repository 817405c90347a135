"""What is known around one number, and the unit and kind found for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Doubt, Reading, Reference
from journal.domain.unit_table import unit_table
from journal.interpret.board import Board
from journal.interpret.context import Context
from journal.interpret.places.points import Points
from journal.interpret.vocabulary import table

DIFFERENCES = (Kind.SUPERHEAT, Kind.SUBCOOLING, Kind.TEMPERATURE_DIFFERENCE)


@dataclass(slots=True)
class Surroundings:
    """What is known around one number."""

    board: Board
    context: Context
    component: str | None = None
    component_how: str = ""  # said, carried or ''
    points: Points | None = None
    kind: Kind | None = None
    words: frozenset[str] = frozenset()  # of its clause
    mates: Sequence[tuple[str, Kind]] = ()  # units and kinds of the same list
    topic: str | None = None  # a word of unsaid.toml before it
    machine: bool = False  # a machine was named as its place
    waiting: bool = False  # the component was named an utterance ago and waited for its number
    printed: bool = False  # it stands on a plate
    expected: bool = False  # 'supposed to be', 'should'
    stressed: bool = False  # 'nothing zero': said once more as a number
    nominal: bool = False  # 'got my twenty four'
    acted: bool = False  # a control was seen to act at it
    went_in: bool = False  # the number before it was of what goes in: 'ninety parts going in'
    led: bool = False  # 'and', 'at', 'to' or a comma stands before it, and a reading of this utterance before that
    clamped: bool = False  # the meter's mode was set right before it
    measured: bool = False  # 'reading', 'i've got' stands before it
    denied: tuple[str, Kind] | None = None  # of the number denied right before: 'not four eighty volts, it's two forty'
    service: bool = False  # the phases or hertz of a supply stand behind its list, or it is what a rating is 'at'
    in_turn: bool = False  # 'number three's', 'second one's' right before it, and a reading of this utterance before
    moved: Reading | None = None  # 'washed it and it dropped to': what was read before is read again
    against: Reading | None = None  # 'and it should be': the value just told that this one is set against
    remembered: str | None = None  # unit of the number of another day that it stands against
    rival: Reading | None = None  # another reading, of another kind, that it may as well be set against
    set_to: bool = False  # 'turned it back to' right before it: a setting goes from the reading before to it
    rests: bool = False  # 'sits for', 'off' right before it, behind a time: the other half of a cycle
    in_row: bool = False  # like the number before it, it is tied to a name: 'on pole two'
    restarted: bool = False  # 'it's', 'okay it's' right before it: said anew after a withdrawal
    fallback: tuple[str, Kind] | None = None  # of the reading it corrects


@dataclass(slots=True)
class Quantity:
    """Unit and kind with where they come from."""

    unit: str
    kind: Kind
    inferred: dict[str, str] = field(default_factory=dict)
    doubts: list[Doubt] = field(default_factory=list)
    alternatives: list[Alternative] = field(default_factory=list)
    reference: Reference | None = None


def kind_for(code: str, said: Kind | None) -> Kind:
    """Return the kind a unit measures; the kind that was said where the unit allows it."""
    kinds = unit_table()[code].kinds
    return said if said in kinds else kinds[0]


def electrical(component: str | None) -> bool:
    return component is None or bool(table("components")[component].get("electrical"))


def by_mode(mode: Kind) -> Quantity:
    return Quantity(table("kinds")[mode.value]["unit"], mode, {"unit": "meter mode"})
