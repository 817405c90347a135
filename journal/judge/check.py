"""What a check is, what it is given, and what it answers: the small vocabulary every family of checks is written in.

A new check is a ``Check`` in the file of its family and in that file's ``CHECKS``, its limits with their sources in
``limits/``, and a test of its worked example and of both sides of each limit.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import TYPE_CHECKING

from journal.domain.kind import Kind
from journal.domain.reading import Reading, Role, State, Trend
from journal.domain.verdict import Authority, Limit, Outcome
from journal.domain.visit import Equipment, Finding
from journal.judge import refrigerants
from journal.judge.entries import Entry, words_of
from journal.judge.limits import LimitBook, default_book
from journal.judge.numbers import PASCALS_PER_PSI, absolute, clean, half_digit, in_unit, pressure_in, shown
from journal.judge.surroundings import Surroundings

if TYPE_CHECKING:
    from journal.judge.select import Bench

OWN = "=own"  # the component the check is judged for
ANY = "=any"  # whatever component, or none
MEASURED, NAMEPLATE, EXPECTED, SETTING = Role.MEASURED, Role.NAMEPLATE, Role.EXPECTED, Role.SETTING
WITHIN, MARGINAL, OUTSIDE, UNDETERMINED = Outcome.WITHIN, Outcome.MARGINAL, Outcome.OUTSIDE, Outcome.UNDETERMINED


def pairs(*names: str) -> tuple[frozenset[str], ...]:
    """Return sets of points from '``common run``': the order in which probes are named does not matter.

    A point of two words is written with an underscore: ``line_side load_side``.
    """
    return tuple(frozenset(point.replace("_", " ") for point in name.split()) for name in names)


@dataclass(frozen=True, slots=True)
class Need:
    """One reading that a check uses, and how to ask for it.

    ``components`` are tried in their order; ``said`` asks for one of its words in the reading's conditions,
    ``unsaid`` forbids them.  ``states`` admits what a meter shows without a number, ``spans`` a range as such
    (a plate's 208-230).  ``shared`` takes a reading of either phase; what is not measured always is.
    """

    kind: Kind
    unit: str
    ask: str
    roles: tuple[Role, ...] = (MEASURED,)
    components: tuple[str | None, ...] = (OWN,)
    points: tuple[frozenset[str], ...] = ()
    said: tuple[str, ...] = ()
    unsaid: tuple[str, ...] = ()
    required: bool = True
    states: bool = False
    spans: bool = False
    shared: bool = False

    @property
    def measured(self) -> bool:
        return MEASURED in self.roles


@dataclass(frozen=True, slots=True)
class Decision:
    """What a check decides; the frame of the verdict is put around it elsewhere."""

    outcome: Outcome
    plain: str
    authority: Authority = Authority.PRACTICE
    value: Decimal | None = None
    unit: str | None = None
    formula: str = ""
    limits: tuple[Limit, ...] = ()
    source: str = ""
    missing: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()  # topics of cautions.toml


@dataclass(frozen=True)
class Check:
    """One rule: a small module-level definition.

    ``subject`` opens the customer's sentence ('The voltage at the {component}'); ``means`` closes it, by outcome or
    side (``within``, ``marginal``, ``low``, ``high``); ``remedy`` is added by side, and only where the authority
    may condemn.  ``each`` lists the components it is judged for, one by one.  ``almost`` is how many required
    readings may be missing for it to say so instead of keeping silent.
    """

    name: str
    title: str
    needs: Mapping[str, Need]
    decide: Callable[[Case], Decision | None]
    subject: str
    version: int = 1
    each: tuple[str | None, ...] = (None,)
    means: Mapping[str, str] = field(default_factory=dict)
    remedy: Mapping[str, str] = field(default_factory=dict)
    limits: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    facts: tuple[str, ...] = ()  # of the machine, for the check by hand: refrigerant, type, use, maker
    steady: bool = False
    almost: int = 1
    gather: Callable[[Bench, Check], Iterable[Case]] | None = None
    trigger: tuple[str, ...] = ()  # without these readings the check keeps silent
    stands_for: str | None = None  # the component meant when none was named


@dataclass(frozen=True)
class Case:
    """A check with the readings that fill its needs, for one component of one machine in one phase."""

    check: Check
    readings: Mapping[str, Reading]
    component: str | None = None
    equipment: Equipment | None = None
    book: LimitBook = field(default_factory=default_book)
    around: Surroundings = field(default_factory=Surroundings)
    findings: tuple[Finding, ...] = ()
    phase: str = "as found"
    earlier: Mapping[str, tuple[Reading, ...]] = field(default_factory=dict)
    choices: Mapping[str, str] = field(default_factory=dict)  # what was given by hand and is no reading

    # readings

    def has(self, *slots: str) -> bool:
        return all(slot in self.readings for slot in slots)

    def number(self, slot: str) -> Decimal:
        """Return a reading's number in the unit of its need; pressures count from the local atmosphere."""
        reading = self.readings[slot]
        value = reading.number
        if value is None or reading.unit is None:
            raise LookupError(f"{slot} has no number")
        return self._in(slot, value)

    def low(self, slot: str) -> Decimal:
        """Return the lower end of a span, its only end, or the number itself."""
        return self._end(slot, self.readings[slot].low)

    def high(self, slot: str) -> Decimal:
        """Return the upper end of a span, its only end, or the number itself."""
        return self._end(slot, self.readings[slot].high)

    def _end(self, slot: str, end: Decimal | None) -> Decimal:
        reading = self.readings[slot]
        given = next((n for n in (end, reading.low, reading.high) if n is not None), None)
        return self.number(slot) if given is None else self._in(slot, given)

    def is_span(self, slot: str) -> bool:
        reading = self.readings[slot]
        return reading.low is not None and reading.high is not None

    def _in(self, slot: str, value: Decimal) -> Decimal:
        reading, need = self.readings[slot], self.check.needs[slot]
        unit = reading.unit or need.unit
        if need.kind is Kind.PRESSURE:
            return pressure_in(need.unit, value, unit, reading.reference, self.around.atmosphere)
        return in_unit(value, unit, need.unit)

    def absolute(self, slot: str) -> float:
        """Return a pressure in absolute pascals."""
        reading = self.readings[slot]
        value, unit = reading.number, reading.unit
        if value is None or unit is None:
            raise LookupError(f"{slot} has no number")
        return float(absolute(value, unit, reading.reference, self.around.atmosphere))

    def psia(self, slot: str) -> Decimal:
        return clean(Decimal(str(self.absolute(slot))) / PASCALS_PER_PSI)

    def grain(self, slot: str) -> Decimal:
        """Return half of the last digit that was said, in the need's unit."""
        reading, wanted = self.readings[slot], self.check.needs[slot].unit
        unit = reading.unit or wanted
        return abs(in_unit(half_digit(reading), unit, wanted) - in_unit(Decimal(0), unit, wanted))

    def state(self, slot: str) -> State | None:
        return self.readings[slot].state if slot in self.readings else None

    def said(self, slot: str, *words: str) -> bool:
        """Return whether one of the words stands in a reading's conditions."""
        return slot in self.readings and any(
            word in condition for condition in self.readings[slot].conditions for word in words
        )

    def moving(self, *slots: str) -> bool:
        return any(self.readings[s].trend in (Trend.MOVING, Trend.HUNTING) for s in slots if s in self.readings)

    def show(self, slot: str) -> str:
        """Return a reading as it was said, with its unit."""
        reading = self.readings[slot]
        if reading.state is not None:
            return str(reading.state)
        if reading.value is not None:
            return f"{reading.value:f} {_symbol(reading)}".strip()
        if reading.low is not None and reading.high is not None:
            return f"{reading.low:f} to {reading.high:f} {_symbol(reading)}".strip()
        bound = f"more than {reading.low:f}" if reading.low is not None else f"less than {reading.high:f}"
        return f"{bound} {_symbol(reading)}".strip()

    # the machine

    @property
    def refrigerant(self) -> str | None:
        name = self.equipment.refrigerant if self.equipment else None
        return refrigerants.designation(name) if name else None

    def saturation(self, slot: str, line: refrigerants.Line) -> Decimal:
        """Return the saturation temperature in degF at a pressure; raises ``NoSaturation``."""
        kelvin = refrigerants.saturation_temperature(self.refrigerant or "", self.absolute(slot), line)
        return Decimal(f"{kelvin * 1.8 - 459.67:.2f}")

    def saw(self, *words: str, component: str | None = None) -> bool:
        """Return whether a finding of this machine, not a negated one, holds one of the words."""
        return any(
            not f.negated
            and any(word in f.what.lower() for word in words)
            and (component is None or f.component == component)
            for f in self.findings
        )

    # limits

    def limit(self, key: str) -> Entry:
        return self.book[key]

    def best(self, subject: str) -> Entry | None:
        return self.book.best(subject, self.equipment, self.component)

    @property
    def unknown_machine(self) -> bool:
        """Return whether nothing is known of the machine's sort, so that it is worth asking."""
        return not words_of(self.equipment)

    @property
    def part(self) -> str:
        """Return what the sentence calls the component."""
        return self.component or "machine"


def _symbol(reading: Reading) -> str:
    return shown(Decimal(1), reading.unit)[2:] if reading.unit else ""
