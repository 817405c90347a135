"""From a case to a verdict: what is missing, ranges, doubts, and the figures no instrument shows."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Reading
from journal.domain.verdict import Verdict
from journal.judge import cautions
from journal.judge.answers import place, undetermined, worst_of
from journal.judge.check import UNDETERMINED, Case, Decision
from journal.judge.numbers import LARGEST, rounded, shown
from journal.judge.refrigerants import NoSaturation

_FAR = Decimal(1000)  # how far beyond a bound ('more than 500') a value is tried
_TEMPERATURES = (Kind.TEMPERATURE, Kind.SATURATION_TEMPERATURE, Kind.TEMPERATURE_DIFFERENCE)


def verdict_of(case: Case, name: str = "") -> Verdict | None:
    """Return the verdict on a case under an id, or ``None`` where the check has nothing to say."""
    decision = decide(case)
    if decision is None:
        return None
    doubtful, note = _doubts(case, decision)
    topics = tuple(dict.fromkeys((*case.check.cautions, *decision.cautions)))
    return Verdict(
        check=case.check.name,
        version=case.check.version,
        title=case.check.title.format(component=case.part),
        outcome=decision.outcome,
        authority=decision.authority,
        plain=decision.plain,
        formula=_with_earlier(case, decision.formula),
        value=None if decision.value is None else rounded(decision.value),
        unit=decision.unit,
        limits=decision.limits,
        source=decision.source,
        cautions=tuple(cautions.text(topic) for topic in topics),
        readings=tuple(dict.fromkeys(reading.id for reading in case.readings.values())),
        missing=decision.missing,
        rests_on_doubt=doubtful,
        doubt_note=note,
        equipment=case.equipment.name if case.equipment else None,
        component=case.component,
        phase=case.phase,
        id=name,
    )


def decide(case: Case) -> Decision | None:
    """Return the decision, with ranges tried at both ends and nothing raised."""
    missing = _missing(case)
    if missing:
        return undetermined(case, *missing)
    variants = list(_variants(case))
    decisions = [_decide_one(variant) for variant in variants]
    found = [d for d in decisions if d is not None]
    if not found or len(found) < len(decisions):
        return None
    if len({(d.outcome, _side(d)) for d in found}) > 1:
        spread = ", ".join(case.show(slot) for slot in _ranged(case))
        return undetermined(
            case,
            "one steady reading instead of a range",
            why=f"{spread} reaches across a limit",
            formula=" | ".join(d.formula for d in found if d.formula),
            limits=found[0].limits,
            authority=found[0].authority,
        )
    return worst_of(found)


def _side(decision: Decision) -> str:
    if decision.value is None or len(decision.limits) != 1 or decision.limits[0].unit != decision.unit:
        return ""
    return place(decision.value, decision.limits[0])[1]


def _decide_one(case: Case) -> Decision | None:
    for slot, reading in case.readings.items():
        if any(n is not None and abs(n) > LARGEST for n in (reading.value, reading.low, reading.high)):
            return undetermined(case, f"{case.check.needs[slot].ask} again", why="no instrument shows such a figure")
    if case.check.steady and case.moving(*case.readings):
        return undetermined(case, "steady readings, after some minutes of running", why="the readings were moving")
    try:
        decision = case.check.decide(case)
        if decision is not None and decision.value is not None and not decision.value.is_finite():
            raise ArithmeticError("no finite value")
        return decision
    except NoSaturation as reason:
        return undetermined(case, "a reading or a refrigerant for which saturation is known", why=str(reason))
    except (ArithmeticError, LookupError):
        return undetermined(case, "the readings again", why="they cannot be computed with")


def _missing(case: Case) -> list[str]:
    asks = [need.ask for slot, need in case.check.needs.items() if need.required and slot not in case.readings]
    if "refrigerant" in case.check.facts and case.refrigerant is None:
        asks.append("the refrigerant")
    return asks


def _ranged(case: Case) -> list[str]:
    return [
        slot
        for slot, reading in case.readings.items()
        if not case.check.needs[slot].spans and reading.state is None and reading.value is None
    ]


def _variants(case: Case) -> Iterator[Case]:
    """Yield the case once, or for a range with each of its ends in place; a bound is also tried far beyond itself."""
    ranged = _ranged(case)
    if not ranged:
        yield case
        return
    slot = ranged[0]
    reading = case.readings[slot]
    low, high = reading.low, reading.high
    if low is None and high is not None:
        low = _far(high, -1, reading.kind)
    if high is None and low is not None:
        high = _far(low, 1, reading.kind)
    for end in (low, high):
        one = reading.with_(value=end, low=None, high=None)
        yield from _variants(dataclasses.replace(case, readings={**case.readings, slot: one}))


def _far(bound: Decimal, way: int, kind: Kind) -> Decimal:
    return bound + way * _FAR if kind in _TEMPERATURES else bound * _FAR**way


def _with_earlier(case: Case, formula: str) -> str:
    notes = []
    for readings in case.earlier.values():
        said = [f"{r.value:f}" for r in reversed(readings) if r.value is not None]
        if said:
            notes.append(f"earlier: {', '.join(said)} {shown(Decimal(1), readings[0].unit)[2:]}".rstrip())
    return "; ".join(part for part in (formula, *notes) if part)


def _doubts(case: Case, decision: Decision) -> tuple[bool, str]:
    """Return whether a verdict rests on a doubtful reading, and whether its likely alternatives would change it."""
    doubted = {slot: r for slot, r in case.readings.items() if r.doubts}
    machine = case.equipment.doubts if case.equipment and "refrigerant" in case.check.facts else ()
    if not doubted and not machine:
        return False, ""
    notes = [f"It rests on the machine's data, which are doubted: {d.why}" for d in machine]
    for slot, reading in doubted.items():
        notes.append(_what_if(case, slot, reading, decision))
    return True, " ".join(notes)


def _what_if(case: Case, slot: str, reading: Reading, decision: Decision) -> str:
    name = case.show(slot)
    if not reading.alternatives:
        return f"{name} needs listening; no likely alternative is known."
    changed, same = [], []
    for alternative in reading.alternatives:
        said = _said(reading, alternative)
        other = decide(_swapped(case, slot, reading, alternative))
        if other is None or alternative.kind not in (None, reading.kind):
            changed.append(f"with {said} this check would not apply")
        elif other.outcome is decision.outcome:
            same.append(said)
        elif other.outcome is UNDETERMINED:
            changed.append(f"with {said} it could not be told")
        else:
            changed.append(f"with {said} it would be {other.outcome.words}")
    if not changed:
        return f"{name} needs listening; {' or '.join(same)} would not change the outcome."
    kept = f"; {' or '.join(same)} would not change it" if same else ""
    return f"{name} needs listening: {', '.join(changed)}{kept}."


def _said(reading: Reading, alternative: Alternative) -> str:
    if alternative.state is not None:
        return str(alternative.state)
    value = alternative.value if alternative.value is not None else reading.value
    unit = alternative.unit or reading.unit
    return shown(value, unit, 6) if value is not None else str(alternative.kind or "another reading")


def _swapped(case: Case, slot: str, reading: Reading, alternative: Alternative) -> Case:
    if alternative.kind not in (None, reading.kind):
        return dataclasses.replace(case, readings={k: v for k, v in case.readings.items() if k != slot})
    if alternative.state is not None:
        other = reading.with_(state=alternative.state, value=None, low=None, high=None)
    elif alternative.value is None:
        other = reading.with_(unit=alternative.unit or reading.unit)
    else:
        unit = alternative.unit or reading.unit
        other = reading.with_(state=None, low=None, high=None, value=alternative.value, unit=unit)
    return dataclasses.replace(case, readings={**case.readings, slot: other})
