"""How the right readings find each other: the machines of a visit, their phases, their parts.

The latest of repeated readings counts and the earlier ones are kept beside it; a nameplate given once serves the
whole visit; withdrawn readings never count.  Two machines never share a reading.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from journal.domain.kind import Kind
from journal.domain.reading import Phase, Reading, Role, State
from journal.domain.visit import Equipment, Finding
from journal.judge.check import ANY, OWN, Case, Check, Need
from journal.judge.limits import LimitBook
from journal.judge.surroundings import Surroundings

Key = tuple[Kind, Role, str | None]


@dataclass
class Bench:
    """The readings of one machine, ready to be looked up; ``readings`` stay in the order they were said."""

    equipment: Equipment | None
    readings: tuple[Reading, ...]
    book: LimitBook
    around: Surroundings
    findings: tuple[Finding, ...] = ()
    steps: tuple[str, ...] = ()
    by_key: dict[Key, list[Reading]] = field(default_factory=dict)
    by_kind: dict[tuple[Kind, Role], list[Reading]] = field(default_factory=dict)
    order: dict[int, int] = field(default_factory=dict)
    phases: tuple[Phase, ...] = ()
    keys: frozenset[Key] = frozenset()

    def __post_init__(self) -> None:
        found = {reading.phase for reading in self.readings}
        self.phases = tuple(phase for phase in Phase if phase in found)
        for i, reading in enumerate(reversed(self.readings)):
            self.order[id(reading)] = len(self.readings) - i
            self.by_key.setdefault((reading.kind, reading.role, reading.component), []).append(reading)
            self.by_kind.setdefault((reading.kind, reading.role), []).append(reading)
        self.keys = frozenset(self.by_key) | {(kind, role, ANY) for kind, role in self.by_kind}

    def candidates(self, need: Need, phase: Phase, own: str | None) -> Iterator[Reading]:
        """Yield the readings that may fill a need, the best first: by its components' order, then the latest."""
        for component in need.components:
            for role in need.roles:
                if component == ANY:
                    pool = self.by_kind.get((need.kind, role), ())
                else:
                    wanted = own if component == OWN else component
                    pool = self.by_key.get((need.kind, role, wanted), ())
                if pool:
                    yield from _in_phase(pool, need, phase, role)

    def case(
        self,
        check: Check,
        phase: Phase,
        component: str | None,
        readings: Mapping[str, Reading],
        earlier: Mapping[str, tuple[Reading, ...]] | None = None,
    ) -> Case:
        return Case(
            check,
            readings,
            component or check.stands_for,
            self.equipment,
            self.book,
            self.around,
            self.findings,
            str(phase),
            earlier or {},
        )

    def fill(self, check: Check, phase: Phase, component: str | None) -> Case:
        """Return a case with every need filled that can be."""
        filled: dict[str, Reading] = {}
        earlier: dict[str, tuple[Reading, ...]] = {}
        for slot, need in check.needs.items():
            found = list(self.candidates(need, phase, component))
            if found:
                filled[slot] = found[0]
                same = tuple(r for r in found[1:] if _repeats(found[0], r)) if len(found) > 1 and need.measured else ()
                if same:
                    earlier[slot] = same
        return self.case(check, phase, component, filled, earlier)


def _repeats(latest: Reading, other: Reading) -> bool:
    """Return whether another reading is an earlier one of the same quantity at the same place."""
    return (latest.component, latest.points, latest.phase, latest.conditions, latest.role) == (
        other.component,
        other.points,
        other.phase,
        other.conditions,
        other.role,
    )


def _in_phase(pool: Sequence[Reading], need: Need, phase: Phase, role: Role) -> Iterator[Reading]:
    if role is Role.MEASURED and not need.shared:
        yield from (r for r in pool if r.phase is phase and fits(need, r))
        return
    others = []
    for reading in pool:
        if fits(need, reading):
            if reading.phase is phase:
                yield reading
            else:
                others.append(reading)
    yield from others


def fits(need: Need, reading: Reading) -> bool:
    """Return whether a reading of the right kind and role has the points, conditions and shape a need asks for."""
    if reading.state is not None and not need.states:
        return False
    if reading.state is State.PRESENT and reading.value is not None:
        return False  # a nominal number is never fed to a check
    if reading.state is None and reading.unit is None:
        return False
    if need.points and frozenset(reading.points) not in need.points:
        return False
    if not reading.conditions:
        return not need.said
    if need.said and not any(word in condition for condition in reading.conditions for word in need.said):
        return False
    return not any(word in condition for condition in reading.conditions for word in need.unsaid)


def cases(bench: Bench, check: Check) -> Iterable[Case]:
    """Yield the cases of one check on one machine in which enough is there to answer or to ask."""
    if check.gather is not None:
        yield from (case for case in check.gather(bench, check) if almost(case))
        return
    if not _possible(bench, check, EVERY):
        return
    for component in check.each:
        if _possible(bench, check, component):
            for phase in bench.phases:
                case = bench.fill(check, phase, component)
                if almost(case):
                    yield case


EVERY = "=every"  # all the components a check is for
_KEYS: dict[tuple[str, str | None], frozenset[Key]] = {}


def _keys(check: Check, component: str | None) -> frozenset[Key]:
    """Return the keys of which one must be measured for a check to be possible at all; none: it always is."""
    known = _KEYS.get((check.name, component))
    if known is None:
        wanted = [need for need in check.needs.values() if need.required and need.measured]
        own = check.each if component == EVERY else (component,)
        parts = {
            (need.kind, p) for need in wanted for part in need.components for p in (own if part == OWN else (part,))
        }
        known = _KEYS[check.name, component] = frozenset((kind, Role.MEASURED, part) for kind, part in parts)
    return known


def _possible(bench: Bench, check: Check, component: str | None) -> bool:
    """Return quickly whether any measured need could be filled at all."""
    keys = _keys(check, component)
    return not keys or not keys.isdisjoint(bench.keys)


def almost(case: Case) -> bool:
    """Return whether a check applies or almost applies: some required reading of its own phase is there, and no
    more than ``almost`` are missing."""
    needs = case.check.needs
    required = [slot for slot, need in needs.items() if need.required]
    absent = [slot for slot in required if slot not in case.readings]
    if not required:
        return bool(case.readings)
    if len(absent) > case.check.almost or len(absent) == len(required):
        return False
    if not case.has(*case.check.trigger):
        return False
    measured = [slot for slot in required if needs[slot].measured]
    here = [slot for slot in measured if slot in case.readings and str(case.readings[slot].phase) == case.phase]
    if measured:
        return bool(here)
    return any(str(case.readings[slot].phase) == case.phase for slot in required if slot in case.readings)


def machines(
    readings: Sequence[Reading],
    equipment: Sequence[Equipment],
    findings: Sequence[Finding],
    book: LimitBook,
    around: Surroundings,
    steps: Sequence[str] = (),
) -> list[Bench]:
    """Return one bench for each machine of the visit; what names none belongs to the only or first one."""
    known = {machine.name: machine for machine in equipment}
    first = equipment[0].name if equipment else next((r.equipment for r in readings if r.equipment), None)
    groups: dict[str | None, list[Reading]] = {}
    for reading in readings:
        if not reading.withdrawn:
            groups.setdefault(reading.equipment or first, []).append(reading)
    seen: dict[str | None, list[Finding]] = {}
    for finding in findings:
        seen.setdefault(finding.equipment or first, []).append(finding)
    return [
        Bench(
            known.get(name) if name in known else (Equipment(name) if name else None),
            tuple(group),
            book,
            around,
            tuple(seen.get(name, ())),
            tuple(steps),
        )
        for name, group in groups.items()
    ]


def group_of(bench: Bench, found: Sequence[Reading]) -> list[Reading]:
    """Return the readings of one quantity that stand together, at most three, the latest first.

    With points: the latest of each pair.  Without: the run of readings said one after the other ('legs are ...').
    ``found`` holds the latest first.
    """
    pointed: dict[frozenset[str], Reading] = {}
    for reading in found:
        if reading.points:
            pointed.setdefault(frozenset(reading.points), reading)
    if found[0].points:
        return list(pointed.values())[:3]
    run = [found[0]]
    for reading in found[1:]:
        if reading.points or len(run) == 3 or not _side_by_side(bench, reading, run[-1]):
            break
        run.append(reading)
    return run


def _side_by_side(bench: Bench, before: Reading, after: Reading) -> bool:
    if bench.order[id(after)] - bench.order[id(before)] != 1:
        return False
    if before.evidence is None or after.evidence is None:
        return True
    return (
        before.evidence.utterance == after.evidence.utterance and before.evidence.recording == after.evidence.recording
    )


def legs(bench: Bench, check: Check) -> Iterator[Case]:
    """Yield cases of three legs: each by its points, or three without points that were said in a row."""
    slots = list(check.needs)[:3]
    need = check.needs[slots[0]]
    for phase in bench.phases:
        for component in check.each:
            if (need.kind, Role.MEASURED, component) not in bench.by_key:
                continue
            case = bench.fill(check, phase, component)
            if not any(case.has(slot) for slot in slots):
                pool = bench.by_key[need.kind, Role.MEASURED, component]
                bare = [r for r in pool if r.phase is phase and not r.points and _bare_fit(need, r)]
                run = group_of(bench, bare) if bare else []
                if len(run) == 3:
                    named = dict(zip(slots, reversed(run), strict=True))
                    case = bench.case(check, phase, component, {**case.readings, **named})
            yield case


def _bare_fit(need: Need, reading: Reading) -> bool:
    return (
        reading.value is not None
        and reading.state is None
        and not any(word in condition for condition in reading.conditions for word in need.unsaid)
    )


def same_breath(one: Reading, other: Reading) -> bool:
    """Return whether two readings of one place were said in the same utterance ('79 over 66')."""
    if one is other:
        return True
    if one.evidence is None or other.evidence is None or one.component != other.component:
        return False
    return (one.evidence.recording, one.evidence.utterance) == (other.evidence.recording, other.evidence.utterance)
