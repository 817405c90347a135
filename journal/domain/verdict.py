"""A check's answer, with everything somebody needs to redo it by hand."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum


class Outcome(StrEnum):
    WITHIN = "within"
    MARGINAL = "marginal"
    OUTSIDE = "outside"
    UNDETERMINED = "undetermined"

    @property
    def words(self) -> str:
        """The words people see."""
        return _WORDS[self]


_WORDS = {
    Outcome.WITHIN: "within limits",
    Outcome.MARGINAL: "marginal",
    Outcome.OUTSIDE: "out of limits",
    Outcome.UNDETERMINED: "can't tell yet",
}


class Authority(StrEnum):
    """On whose word a limit rests, strongest first."""

    NAMEPLATE = "nameplate"
    MAKER = "maker"
    STANDARD = "standard"
    REGULATION = "regulation"
    PHYSICS = "physics"
    COMPANY = "company"
    PRACTICE = "practice"
    MEMORY = "memory"

    @property
    def may_condemn(self) -> bool:
        """Only these may say 'replace' or 'condemn'; the others say 'outside usual practice'."""
        return self in (Authority.NAMEPLATE, Authority.MAKER, Authority.STANDARD, Authority.PHYSICS)


@dataclass(frozen=True, slots=True)
class Limit:
    """A permitted span with its source; a missing bound is open.

    ``marginal_low``/``marginal_high`` bound the wider span that is still ``marginal``.
    ``applies_to`` names the equipment the limit is for; it is silent elsewhere.
    """

    unit: str
    low: Decimal | None = None
    high: Decimal | None = None
    marginal_low: Decimal | None = None
    marginal_high: Decimal | None = None
    authority: Authority = Authority.PRACTICE
    source: str = ""
    applies_to: str = ""
    changed_by: str = ""  # the settings file that changed it, if one did

    def __post_init__(self) -> None:
        if not self.source:
            raise ValueError("a limit names its source")


@dataclass(frozen=True, slots=True)
class Verdict:
    """What one check says about some readings.

    ``check`` and ``version`` name the rule; ``value`` is what was computed, in ``unit``; ``formula`` shows the
    numbers in it; ``plain`` is one sentence for a customer; ``missing`` says what to measure next and is
    filled exactly when the outcome is ``undetermined``.  ``readings`` are reading ids.
    """

    check: str
    version: int
    title: str
    outcome: Outcome
    authority: Authority
    plain: str
    formula: str = ""
    value: Decimal | None = None
    unit: str | None = None
    limits: tuple[Limit, ...] = ()
    source: str = ""
    cautions: tuple[str, ...] = ()
    readings: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    rests_on_doubt: bool = False
    doubt_note: str = ""  # whether the likely alternatives would change the outcome
    equipment: str | None = None
    component: str | None = None
    phase: str = "as found"
    id: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        if (self.outcome is Outcome.UNDETERMINED) != bool(self.missing):
            raise ValueError(f"{self.check}: 'missing' is filled exactly when a verdict is undetermined")
        if not self.plain:
            raise ValueError(f"{self.check}: a verdict speaks to the customer too")


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What verdicts together point to: proposed by the journal or said by a person; the technician decides."""

    title: str
    because: str
    confirm: str  # what would confirm or refute it
    readings: tuple[str, ...] = ()
    verdicts: tuple[str, ...] = ()
    proposed_by: str = "journal"
    equipment: str | None = None
    id: str = field(default="", compare=False)
