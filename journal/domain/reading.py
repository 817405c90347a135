"""One quantity somebody read, quoted, set or expects; and what the journal doubts about it."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from journal.domain.kind import Kind
from journal.domain.unit_table import can_measure, unit_table


class Role(StrEnum):
    """Where the quantity stands: on the meter now, printed on the part, as it should be, on a control."""

    MEASURED = "measured"
    NAMEPLATE = "nameplate"
    EXPECTED = "expected"
    SETTING = "setting"


class State(StrEnum):
    """What a meter shows without a number."""

    OPEN = "open"
    SHORT = "short"
    CONTINUITY = "continuity"
    PRESENT = "present"
    ABSENT = "absent"


class Phase(StrEnum):
    """Before or after the work of this visit."""

    AS_FOUND = "as found"
    AS_LEFT = "as left"


class Trend(StrEnum):
    STEADY = "steady"
    MOVING = "moving"
    HUNTING = "hunting"


class Reference(StrEnum):
    """What a pressure counts from."""

    GAUGE = "gauge"
    ABSOLUTE = "absolute"
    VACUUM = "vacuum"


@dataclass(frozen=True, slots=True)
class Doubt:
    """One reason to listen again.

    ``code`` is short and stable (``confusable``, ``grouping``, ``low confidence``, ``implausible``,
    ``neighbours``, ``unit inferred``, ``kind unsure``, ``role unsure``, ``listeners differ``, ``spelled``...);
    ``why`` is one sentence a technician understands.
    """

    code: str
    why: str

    def __post_init__(self) -> None:
        if not self.code or not self.why:
            raise ValueError("a doubt has a code and a reason")


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another value the same words may have meant; fields that are ``None`` are as in the reading."""

    value: Decimal | None = None
    unit: str | None = None
    kind: Kind | None = None
    state: State | None = None
    why: str = ""


@dataclass(frozen=True, slots=True)
class Evidence:
    """The words a reading came from: words ``first`` to ``last`` (inclusive) of one utterance, and their seconds."""

    recording: str
    utterance: int
    first: int
    last: int
    start: float
    end: float
    said: str
    confidence: float = 1.0

    def __post_init__(self) -> None:
        if not 0 <= self.first <= self.last:
            raise ValueError(f"a span of words runs forwards: {self.first}..{self.last}")


@dataclass(frozen=True, slots=True)
class Reading:
    """One quantity with its place, its role and where it was said.

    Exactly one of these holds: ``value`` is a number; ``low`` and/or ``high`` give a range or a bound; ``state`` says
    what a meter shows without a number.  ``unit`` is a code of ``units.txt``; it may be ``None`` only for a state, or
    for a number doubted for want of a unit.  Two readings compare equal when they say the same about the same place;
    their identity and evidence do not count.
    """

    kind: Kind
    role: Role = Role.MEASURED
    value: Decimal | None = None
    low: Decimal | None = None
    high: Decimal | None = None
    state: State | None = None
    unit: str | None = None
    component: str | None = None
    points: tuple[str, ...] = ()
    equipment: str | None = None
    phase: Phase = Phase.AS_FOUND
    conditions: tuple[str, ...] = ()
    trend: Trend | None = None
    reference: Reference | None = None
    instrument: str | None = None
    hedged: bool = False
    held_for: Decimal | None = None  # seconds
    withdrawn: bool = False
    inferred: tuple[tuple[str, str], ...] = ()  # (what was not said, where it was taken from)
    doubts: tuple[Doubt, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    heard_by: tuple[str, ...] = field(default=("vosk",), compare=False)
    evidence: Evidence | None = field(default=None, compare=False)
    id: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        numbers = [n for n in (self.value, self.low, self.high) if n is not None]
        if any(not isinstance(n, Decimal) or not n.is_finite() for n in numbers):
            raise ValueError("quantities are finite decimals")
        shapes = (self.value is not None) + (self.low is not None or self.high is not None)
        if shapes > 1 or (shapes == 0 and self.state is None):
            raise ValueError("a reading is a value, a range or a state")
        if self.state is not None and shapes and self.state is not State.PRESENT:
            raise ValueError("only 'present' may carry a nominal number")
        if self.unit is not None:
            if self.unit not in unit_table():
                raise ValueError(f"{self.unit!r} is not a unit of units.txt")
            if not can_measure(self.unit, self.kind):
                raise ValueError(f"{self.unit} does not measure {self.kind}")
        if self.low is not None and self.high is not None and self.low > self.high:
            raise ValueError(f"a range runs upwards: {self.low}..{self.high}")
        if numbers and self.unit is None and not self.doubts:
            raise ValueError("a number without a unit has to be doubted")

    @property
    def needs_listening(self) -> bool:
        """True when somebody should hear the words again before relying on the number."""
        return bool(self.doubts) and not self.withdrawn

    @property
    def number(self) -> Decimal | None:
        """The single number to compute with: the value, else ``None`` (ranges and states have none).

        A nominal number of a ``present`` state is not a measurement and yields ``None``.
        """
        return self.value if self.state is None else None

    def with_(self, **changes: object) -> Reading:
        """Return a copy with ``changes`` applied."""
        return dataclasses.replace(self, **changes)  # type: ignore[arg-type]
