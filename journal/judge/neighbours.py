"""Readings that cannot both be right: windings that must add up, legs that must be close, pressures that must fit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any

from journal.domain.kind import Kind
from journal.domain.reading import Phase, Reading, Role
from journal.judge import capacitors, currents, phases, refrigerants, subcooling, superheat, supply, windings
from journal.judge import legs as legs_of
from journal.judge.check import Case, Check
from journal.judge.numbers import show
from journal.judge.plates import plates as plate_currents
from journal.judge.select import Bench, legs

Disagreement = tuple[Reading, str]


def disagreements(bench: Bench, allowed: Mapping[str, Any]) -> Iterator[Disagreement]:
    """Yield readings of one machine that their neighbours speak against, with the sentence that says why."""
    for phase in bench.phases:
        yield from _windings(bench, phase, allowed)
        yield from _pressures(bench, phase, allowed)
        yield from _capacitors(bench, phase, allowed)
    yield from _legs(bench, phases.UNBALANCE, Decimal(allowed["legs_percent"]) / 100, "volts")
    yield from _amps(bench, Decimal(allowed["amps_factor"]))
    yield from _plates(bench, allowed)


def _blamed(readings: Sequence[Reading], repaired: Sequence[Reading]) -> Sequence[Reading]:
    """Blame the one reading whose alternative repairs the disagreement, else all of them."""
    return repaired if len(repaired) == 1 else readings


def _windings(bench: Bench, phase: Phase, allowed: Mapping[str, Any]) -> Iterator[Disagreement]:
    for component in windings.SINGLE_PHASE:
        case = bench.fill(windings.SUM, phase, component)
        slots = ("common-run", "common-start", "run-start")
        if not case.has(*slots) or any(case.readings[s].number is None for s in slots):
            continue
        values = {slot: case.number(slot) for slot in slots}
        if _adds_up(values.values(), allowed):
            continue
        repaired = [case.readings[slot] for slot in slots if _repairs(case, slot, values, allowed)]
        why = (
            f"The windings do not add up ({' + '.join(show(v) for v in sorted(values.values())[:2])} is not "
            f"{show(max(values.values()))} ohm); listen again."
        )
        for reading in _blamed([case.readings[s] for s in slots], repaired):
            yield reading, why


def _adds_up(values: Iterable[Decimal], allowed: Mapping[str, Any]) -> bool:
    small, middle, high = sorted(values)
    return abs(high - small - middle) <= max(
        Decimal(allowed["winding_ohms"]), high * Decimal(allowed["winding_percent"]) / 100
    )


def _repairs(case: Case, slot: str, values: Mapping[str, Decimal], allowed: Mapping[str, Any]) -> bool:
    return any(
        other.value is not None and _adds_up({**values, slot: other.value}.values(), allowed)
        for other in case.readings[slot].alternatives
    )


def _legs(bench: Bench, check: Check, share: Decimal, unit: str) -> Iterator[Disagreement]:
    for case in legs(bench, check):
        slots = list(check.needs)[:3]
        if _usable(case, *slots):
            values = {slot: case.number(slot) for slot in slots}
            middle = sorted(values.values())[1]
            for slot, value in values.items():
                if value and abs(value - middle) > share * max(values.values()):
                    yield (
                        case.readings[slot],
                        f"{show(value)} {unit} lies far from its fellows ({show(middle)}); listen again.",
                    )


def _amps(bench: Bench, factor: Decimal) -> Iterator[Disagreement]:
    for case in legs(bench, legs_of.UNBALANCE):
        slots = list(legs_of.UNBALANCE.needs)[:3]
        if _usable(case, *slots):
            values = {slot: case.number(slot) for slot in slots}
            middle = sorted(values.values())[1]
            for slot, value in values.items():
                if middle and value and not middle / factor <= value <= middle * factor:
                    yield (
                        case.readings[slot],
                        f"{show(value)} A lies far from its fellows ({show(middle)} A); listen again.",
                    )


def _capacitors(bench: Bench, phase: Phase, allowed: Mapping[str, Any]) -> Iterator[Disagreement]:
    factor = Decimal(allowed["capacitor_factor"])
    for check in (capacitors.CAPACITOR, capacitors.FAN_SIDE):
        for component in check.each:
            case = bench.fill(check, phase, component)
            if not case.has("measured", "marked") or case.readings["measured"].number is None:
                continue
            value, low, high = case.number("measured"), case.low("marked"), case.high("marked")
            if value > high * factor or low / 20 < value < low / factor:
                why = f"{show(value)} µF and a marking of {case.show('marked')} lie far apart; listen to both."
                yield case.readings["measured"], why
                yield case.readings["marked"], why


def _plates(bench: Bench, allowed: Mapping[str, Any]) -> Iterator[Disagreement]:
    share = Decimal(allowed["plate_percent"]) / 100
    for case in (supply.SUPPLY.gather or _nothing)(bench, supply.SUPPLY):
        if not case.has("measured", "nameplate"):
            continue
        marks = [s for s in ("nameplate", "second nameplate") if case.has(s)]
        low, high = min(case.low(s) for s in marks), max(case.high(s) for s in marks)
        for slot in ("measured", "second", "third"):
            if (
                case.has(slot)
                and case.readings[slot].number
                and not low * (1 - share) <= case.number(slot) <= high * (1 + share)
            ):
                yield (
                    case.readings[slot],
                    f"{show(case.number(slot))} V is far from the plate's {case.show('nameplate')}; listen to both.",
                )
    first, last = (Decimal(n) for n in allowed["amps_slip"])
    for check in (currents.RUNNING, currents.MOTOR):
        for phase in bench.phases:
            for component in check.each:
                case = bench.fill(check, phase, component)
                if _usable(case, "measured", "rated") and case.number("measured") and case.number("rated"):
                    times = case.number("measured") / case.number("rated")
                    locked = bool(plate_currents(bench, phase, component).get("locked rotor")) and times < 9
                    if not locked and first <= times <= last:
                        yield (
                            case.readings["measured"],
                            (
                                f"{case.show('measured')} is about ten times the plate's {case.show('rated')}; "
                                f"a decimal point may be lost."
                            ),
                        )


def _nothing(bench: Bench, check: Check) -> Iterator[Case]:
    yield from ()


def _pressures(bench: Bench, phase: Phase, allowed: Mapping[str, Any]) -> Iterator[Disagreement]:
    suction = bench.fill(superheat.SUPERHEAT, phase, None)
    liquid = bench.fill(subcooling.SUBCOOLING, phase, None)
    yield from _order(suction, liquid)
    name = suction.refrigerant
    if name is None:
        return
    try:
        yield from _fit(bench, phase, suction, liquid, allowed)
    except refrigerants.NoSaturation:
        return


def _usable(case: Case, *slots: str) -> bool:
    return all(slot in case.readings and case.readings[slot].number is not None for slot in slots)


def _order(suction: Case, liquid: Case) -> Iterator[Disagreement]:
    if (
        _usable(suction, "pressure")
        and _usable(liquid, "pressure")
        and suction.psia("pressure") > liquid.psia("pressure")
    ):
        why = f"Suction {suction.show('pressure')} stands above discharge {liquid.show('pressure')}; listen to both."
        yield suction.readings["pressure"], why
        yield liquid.readings["pressure"], why


def _fit(bench: Bench, phase: Phase, suction: Case, liquid: Case, allowed: Mapping[str, Any]) -> Iterator[Disagreement]:
    if _usable(suction, "pressure", "line"):
        value = suction.number("line") - suction.saturation("pressure", "dew")
        if not Decimal(allowed["superheat_low"]) <= value <= Decimal(allowed["superheat_high"]):
            why = (
                f"{suction.show('pressure')} and a line of {suction.show('line')} give a superheat of "
                f"{show(value, 3)} °F; listen to both."
            )
            yield suction.readings["pressure"], why
            yield suction.readings["line"], why
    if _usable(liquid, "pressure", "line"):
        value = liquid.saturation("pressure", "bubble") - liquid.number("line")
        if not Decimal(allowed["superheat_low"]) <= value <= Decimal(allowed["superheat_high"]):
            why = (
                f"{liquid.show('pressure')} and a line of {liquid.show('line')} give a subcooling of "
                f"{show(value, 3)} °F; listen to both."
            )
            yield liquid.readings["pressure"], why
            yield liquid.readings["line"], why
    ambient = _temperature(bench, phase, "ambient")
    if ambient is not None and _usable(liquid, "pressure"):
        lift = liquid.saturation("pressure", "bubble") - _fahrenheit(ambient)
        if lift < Decimal(allowed["lift_low"]):
            yield (
                liquid.readings["pressure"],
                f"{liquid.show('pressure')} condenses {show(-lift, 3)} °F below ambient; listen again.",
            )
    box = _temperature(bench, phase, "box")
    if box is not None and _usable(suction, "pressure"):
        lift = _fahrenheit(box) - suction.saturation("pressure", "dew")
        if lift < Decimal(allowed["lift_low"]):
            yield (
                suction.readings["pressure"],
                f"{suction.show('pressure')} evaporates {show(-lift, 3)} °F above the box; listen again.",
            )


def _temperature(bench: Bench, phase: Phase, component: str) -> Reading | None:
    pool = bench.by_key.get((Kind.TEMPERATURE, Role.MEASURED, component), ())
    return next((r for r in pool if r.phase is phase and r.number is not None and r.unit is not None), None)


def _fahrenheit(reading: Reading) -> Decimal:
    from journal.judge.numbers import in_unit

    return in_unit(reading.value or Decimal(0), reading.unit or "degF", "degF")
