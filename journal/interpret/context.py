"""What carries over from one utterance to the next: the place, the meter's mode, the machine, the phase of the
visit."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import Phase, Reading, Role
from journal.domain.visit import Known
from journal.interpret.places.points import Points

PLACE_LASTS = 120.0  # seconds a named place waits for its value
CARRY_LASTS = 300.0  # seconds a component carries over without being named again
SPOKEN_LASTS = 60.0  # seconds a part named goes on being one of those spoken of
CORRECTION_LASTS = 30.0  # seconds behind a reading in which 'scratch that' still means it
TYPED_LINE = 10.0  # seconds a line of a typed note counts for


@dataclass(slots=True)
class Draft:
    """A reading as understood so far, with what was said rather than carried."""

    reading: Reading
    at: float
    said_unit: bool = False
    said_points: Points | None = None
    said_component: bool = False
    said_role: bool = False
    taken_back: float = 0.0  # how likely by the tagger


@dataclass(slots=True)
class Hints:
    """What the number step may know of the context: the probable unit and the component carried."""

    unit: str | None = None
    component: str | None = None
    machine: str | None = None
    known: Known | None = None
    told: tuple[str, ...] = ()  # units of the readings of the utterance before, the newest first
    lines: bool = False  # the reading before was taken at lines
    set: bool = False  # the reading before was a setting
    spoken: tuple[str, ...] = ()  # parts named lately, the newest first
    circumstance: str | None = None  # a defrost spoken of
    earlier: tuple[str, ...] = ()  # the last words of the utterances before


@dataclass(slots=True)
class Context:
    """The state between utterances of one recording."""

    now: float = 0.0
    component: str | None = None
    component_at: float = 0.0
    spoken: list[tuple[str, float]] = field(default_factory=list)  # every part named, the newest last, and when
    worked: tuple[str, ...] = ()  # parts that work was done on in the last utterance with work
    weighed_at: float | None = None  # when refrigerant was last weighed in or out
    motor: str | None = None  # the last part with windings that was named
    control: str | None = None  # the last control of pressure that was named
    control_at: float = 0.0
    waits: bool = False  # the component was named and has no number yet
    amended: set[int] = field(default_factory=set)  # claims of points used up by a correction
    conditions_at: float = 0.0
    points: Points | None = None  # named and not yet used
    points_at: float = 0.0
    last_points: tuple[str, ...] = ()
    to_ground: bool = False  # 'checking each winding to ground': the points named next are to ground
    heading: str | None = None  # a unit said of no number: 'all in kilohms'
    heading_at: float = 0.0
    mode: Kind | None = None
    kind: Kind | None = None  # 'superheat' said alone, waiting for its number
    kind_at: float = 0.0
    role: Role | None = None  # 'the nameplate says' said alone
    withheld: str | None = None  # 'if i jumper it' goes on in the next utterance
    asked: bool = False  # a question was told of in the utterance before
    remembered: str | None = None  # the place of a number told of another day, until something is read
    remembered_unit: str | None = None  # the unit said with that number
    remembered_size: Decimal | None = None
    remembered_at: float = 0.0
    equipment: str | None = None
    equipment_entry: str | None = None
    phase: Phase = Phase.AS_FOUND
    conditions: tuple[str, ...] = ()
    circumstance: str | None = None  # 'put it in defrost', said of no number: what parts are called in it
    circumstance_at: float = 0.0
    gauges_at: float | None = None
    topic: str | None = None  # a word of unsaid.toml said in an utterance without numbers
    topic_at: float = 0.0
    instrument: str | None = None
    correction: str | None = None  # a cue at the end of the last utterance
    earlier: list[str] = field(default_factory=list)  # the last words of the utterances before
    inherit: Draft | None = None  # withdrawn: what replaces it takes over its place
    drafts: list[Draft] = field(default_factory=list)

    def last(self) -> Draft | None:
        """Return the newest draft that is not withdrawn, while corrections may still mean it."""
        for draft in reversed(self.drafts[-6:]):
            if not draft.reading.withdrawn:
                return draft if self.now - draft.at <= CORRECTION_LASTS else None
        return None

    def headed(self) -> str | None:
        """Return the unit that heads a list, while it is being read out."""
        return self.heading if self.now - self.heading_at <= SPOKEN_LASTS else None

    def carried_component(self) -> str | None:
        return self.component if self.now - self.component_at <= CARRY_LASTS else None

    def spoken_lately(self) -> tuple[str, ...]:
        """Return the parts named lately, the newest first."""
        return tuple(name for name, at in reversed(self.spoken[-8:]) if self.now - at <= SPOKEN_LASTS)

    def circumstance_now(self) -> str | None:
        return self.circumstance if self.now - self.circumstance_at <= CARRY_LASTS else None

    def waiting_points(self) -> Points | None:
        return self.points if self.points is not None and self.now - self.points_at <= PLACE_LASTS else None
