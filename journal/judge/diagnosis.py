"""What the verdicts of one machine together point to: with reasons, never with odds; the technician decides."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from decimal import Decimal

from journal.domain.ids import new_id
from journal.domain.kind import Kind
from journal.domain.reading import Role, State
from journal.domain.verdict import Diagnosis, Outcome, Verdict
from journal.judge.select import Bench

_BAD = (Outcome.MARGINAL, Outcome.OUTSIDE)


@dataclass(frozen=True)
class Facts:
    """The verdicts of one machine in one phase, easy to ask."""

    bench: Bench
    verdicts: tuple[Verdict, ...]
    used: list[Verdict] = field(default_factory=list)

    def outside(self, *checks: str, component: str | None = None) -> bool:
        return self._any(checks, (Outcome.OUTSIDE,), component)

    def bad(self, *checks: str, component: str | None = None) -> bool:
        return self._any(checks, _BAD, component)

    def fine(self, *checks: str, component: str | None = None) -> bool:
        return self._any(checks, (Outcome.WITHIN,), component)

    def undetermined(self, *checks: str) -> bool:
        return self._any(checks, (Outcome.UNDETERMINED,), None)

    def saw(self, *words: str, part: str = "") -> bool:
        """Return whether a finding, not a negated one, holds one of the words, at a part whose name holds ``part``."""
        return any(
            not x.negated and part in (x.component or "") and any(word in x.what.lower() for word in words)
            for x in self.bench.findings
        )

    def dead_voltage(self) -> bool:
        """Return whether no voltage was read somewhere in this phase."""
        return any(
            r.kind is Kind.VOLTAGE and r.role is Role.MEASURED and (r.state is State.ABSENT or r.number == 0)
            for r in self.bench.readings
            if self.verdicts and str(r.phase) == self.verdicts[0].phase
        )

    def share(self, check: str) -> Decimal:
        """Return a verdict's value as a share of its upper limit, 1 where there is none."""
        for verdict in self.verdicts:
            limit = verdict.limits[0].high if verdict.check == check and verdict.limits else None
            if limit and verdict.value is not None:
                self.used.append(verdict)
                return verdict.value / limit
        return Decimal(1)

    def low(self, check: str) -> bool:
        return self._side(check, below=True)

    def high(self, check: str) -> bool:
        return self._side(check, below=False)

    def _any(self, checks: tuple[str, ...], outcomes: tuple[Outcome, ...], component: str | None) -> bool:
        found = [
            v
            for v in self.verdicts
            if v.check in checks and v.outcome in outcomes and (component is None or v.component == component)
        ]
        self.used.extend(found)
        return bool(found)

    def _side(self, check: str, *, below: bool) -> bool:
        for verdict in self.verdicts:
            if verdict.check != check or verdict.outcome not in _BAD or verdict.value is None or not verdict.limits:
                continue
            limit = verdict.limits[0]
            edge = limit.low if below else limit.high
            if edge is not None and (verdict.value < edge if below else verdict.value > edge):
                self.used.append(verdict)
                return True
        return False


@dataclass(frozen=True)
class Pattern:
    """One line of reasoning: when it holds, what it points to, why, and what would confirm or refute it."""

    title: str
    holds: Callable[[Facts], bool]
    because: str
    confirm: str


def diagnoses(bench: Bench, verdicts: Iterable[Verdict]) -> Iterator[Diagnosis]:
    """Yield what the verdicts of one machine point to, phase by phase."""
    from journal.judge.patterns import PATTERNS

    everything = tuple(verdicts)
    for phase in dict.fromkeys(v.phase for v in everything):
        here = tuple(v for v in everything if v.phase == phase)
        for pattern in PATTERNS:
            facts = Facts(bench, here)
            if pattern.holds(facts):
                yield _proposed(bench, pattern, facts)


def _proposed(bench: Bench, pattern: Pattern, facts: Facts) -> Diagnosis:
    used = list(dict.fromkeys(v.id for v in facts.used))
    readings = tuple(dict.fromkeys(r for v in facts.used for r in v.readings))
    doubt = " It rests on a reading that needs listening." if any(v.rests_on_doubt for v in facts.used) else ""
    return Diagnosis(
        title=pattern.title,
        because=pattern.because + doubt,
        confirm=pattern.confirm,
        readings=readings,
        verdicts=tuple(used),
        equipment=bench.equipment.name if bench.equipment else None,
        id=new_id(),
    )
