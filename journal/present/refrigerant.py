"""Refrigerant that was added or recovered: what its record must hold, on whose word, and what is missing.

The rules known here are those of the United States (``judge/regulations.toml``); the regulation in force at the place
goes first, and every list made from this says so.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from journal.domain.unit_table import symbol_of
from journal.domain.verdict import Outcome, Verdict
from journal.domain.visit import Equipment, Visit, WorkDone
from journal.errors import BadInput
from journal.judge import records, refrigerants
from journal.keep.complete import refrigerant_record, refrigerant_work, scale_check
from journal.units import Amount, convert

DEFERS = (
    "These are rules of the United States as far as the journal knows them; "
    "the regulation in force at the place goes first."
)


@dataclass(frozen=True, slots=True)
class Demand:
    """One thing the record of a movement must hold and lacks: its name, what to ask, and on whose word."""

    name: str
    asks: str
    source: str


@dataclass(frozen=True, slots=True)
class Movement:
    """One addition or recovery: ``record`` holds what the visit knows of it by the names of the rules' fields.

    ``asked``: a rule the journal knows holds for this machine and day, or would, were more known of it; ``certain``: it
    does hold; ``rule`` says so in words.
    """

    visit: str
    site: str
    machine: str
    refrigerant: str
    action: str
    amount: Decimal | None
    unit: str | None
    by_scale: bool
    record: Mapping[str, str]
    missing: tuple[Demand, ...]
    rule: str
    asked: bool
    certain: bool

    @property
    def pounds(self) -> Decimal | None:
        """The amount in pounds, for adding up."""
        return _pounds(self.amount, self.unit)


def movements(visit: Visit) -> tuple[Movement, ...]:
    """Return every addition and recovery of a visit as it stands (corrections applied), in the order they were said.

    Where no amount was said with the work, what the cylinder's scale told counts; refrigerant that only the scale
    tells of is a movement too.
    """
    moved = refrigerant_work(visit)
    others = tuple(work for work in visit.work if work not in moved)
    scales = [
        v for v in visit.verdicts if v.check == scale_check() and v.value and v.outcome is not Outcome.UNDETERMINED
    ]
    found = []
    for work in moved:
        own = [v for v in scales if _action(v) == work.action and v.equipment in (work.equipment, None)]
        by_scale = work.amount is None and bool(own)
        if own:
            scales.remove(own[0])  # what the scale told is this movement, not another one
        counted = _by_scale(own[0], work) if by_scale else work
        found.append(_movement(visit, counted, others, by_scale))
    for verdict in scales:
        found.append(_movement(visit, _by_scale(verdict, None), others, True))
    return tuple(found)


def _movement(visit: Visit, work: WorkDone, others: tuple[WorkDone, ...], by_scale: bool) -> Movement:
    alone = replace(visit, work=(work, *others))
    record = refrigerant_record(alone)
    machine = _machine(visit, work)
    fields = {field["name"]: field for field in records.record_fields()}
    missing = tuple(
        Demand(name, field["asks"], _source(field))
        for name, field in fields.items()
        if not record.get(name, "").strip()
    )
    charge = _pounds(machine.charge, machine.charge_unit) if machine else None
    rule, asked, certain = _rule(record.get("refrigerant", ""), charge, record.get("date", ""))
    return Movement(
        visit=visit.code,
        site=visit.site or "",
        machine=machine.name if machine else work.equipment or "",
        refrigerant=record.get("refrigerant", ""),
        action=work.action,
        amount=work.amount,
        unit=work.unit,
        by_scale=by_scale,
        record=record,
        missing=missing,
        rule=rule,
        asked=asked,
        certain=certain,
    )


def _machine(visit: Visit, work: WorkDone) -> Equipment | None:
    if work.equipment:
        return next((machine for machine in visit.equipment if machine.name == work.equipment), None)
    return visit.equipment[0] if len(visit.equipment) == 1 else None


def _action(verdict: Verdict) -> str:
    return "added" if (verdict.value or Decimal(0)) > 0 else "recovered"


def _by_scale(verdict: Verdict, work: WorkDone | None) -> WorkDone:
    amount = abs(verdict.value or Decimal(0))
    if work is not None:
        return replace(work, amount=amount, unit=verdict.unit)
    return WorkDone(_action(verdict), "refrigerant", amount, verdict.unit, equipment=verdict.equipment)


def _rule(name: str, charge: Decimal | None, day: str) -> tuple[str, bool, bool]:
    """Return which federal rule asks for the record, in words, whether one may, and whether one certainly does."""
    try:
        on = dt.date.fromisoformat(day)
    except ValueError:
        on = None
    entry = refrigerants.known(name)
    if entry is not None and not (entry.ozone or entry.hfc):
        return f"no federal rule the journal knows asks for a record of {name}", False, False
    if entry is None or charge is None or on is None:
        unknown = [
            what
            for what, is_known in (("refrigerant", entry), ("full charge", charge), ("date", on))
            if is_known is None
        ]
        rules = "; ".join(
            f"{rule.name}, since {rule.since.isoformat()}, from {rule.least_charge} lb of"
            f" {'ozone-depleting refrigerants' if rule.ozone else 'HFCs'}"
            for rule in records.leak_rules()
            if entry is None or rule.hfc is not entry.ozone  # a machine with a known refrigerant has one kind of rule
        )
        return f"demanded if one of these rules holds ({' and '.join(unknown)} not known): {rules}", True, False
    rule = records.leak_rule(name, charge, on)
    if rule is None:
        return (
            f"no federal rule the journal knows asks for it at {charge} lb of {name} on {on.isoformat()}",
            False,
            False,
        )
    return f"demanded by {rule.name}, in force since {rule.since.isoformat()}", True, True


def _source(field: Mapping[str, str]) -> str:
    marks = {"memory": ", from memory", "seen second-hand": ", as told by others"}
    return field["source"] + marks.get(field["mark"], "")


def _pounds(value: Decimal | None, unit: str | None) -> Decimal | None:
    if value is None or unit is None:
        return None
    try:
        return convert(Amount(value, unit), "pound").value
    except BadInput:
        return None


def amount_words(movement: Movement) -> str:
    """Return the amount with its unit, and whether the scale told it."""
    if movement.amount is None:
        return ""
    text = f"{movement.amount} {symbol_of(movement.unit)}".strip()
    return f"{text} by the scale" if movement.by_scale else text
