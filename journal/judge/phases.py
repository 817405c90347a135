"""Three phases of the supply: unbalance, a lost leg, legs to ground."""

from __future__ import annotations

from decimal import Decimal

from journal.domain.verdict import Authority
from journal.judge.answers import judged, place, stated
from journal.judge.check import (
    MARGINAL,
    WITHIN,
    Case,
    Check,
    Decision,
    Need,
    pairs,
)  # fmt: skip
from journal.judge.formulas import derating, deviation, unbalance, unbalance_heat
from journal.judge.numbers import show, shown
from journal.judge.select import legs
from journal.judge.supply import PLACES, STARTING, voltage


def _unbalance(case: Case) -> Decision:
    volts = [case.number(slot) for slot in ("l1-l2", "l2-l3", "l1-l3")]
    average = sum(volts, Decimal(0)) / 3
    percent = unbalance(volts)
    bound = case.best("voltage-unbalance") or case.limit("voltage-unbalance.any")
    farthest = max(volts, key=lambda v: abs(v - average))
    formula = (
        f"100 x |{show(farthest)} - {show(average)}| / {show(average)} = {show(percent, 3)} %; "
        f"derate to {show(derating(percent), 3)}, windings about {show(unbalance_heat(percent), 2)} % hotter"
    )
    note = "over 2 % makers ask for correction" if percent > 2 and bound.limit.authority is Authority.PRACTICE else ""
    return judged(case, percent, bound, formula, note=note)


def _leg_need(points: str, ask: str) -> Need:
    return voltage(ask, points=pairs(points, points.replace("L", "T")), unsaid=STARTING)


_LEGS = {
    "l1-l2": _leg_need("L1 L2", "the voltage from L1 to L2"),
    "l2-l3": _leg_need("L2 L3", "the voltage from L2 to L3"),
    "l1-l3": _leg_need("L1 L3", "the voltage from L1 to L3"),
}


UNBALANCE = Check(
    name="voltage-unbalance",
    title="Voltage unbalance of the three phases",
    needs=_LEGS,
    each=PLACES,
    decide=_unbalance,
    gather=legs,
    subject="the voltage unbalance between the phases",
    means={
        "marginal": "a little unbalance heats a motor much; find its cause",
        "high": "a motor must not go on running on it; find the cause before it burns out",
    },
    limits=("voltage-unbalance.any", "voltage-unbalance.daikin"),
    cautions=("live measuring",),
)


def _lost_leg(case: Case) -> Decision | None:
    volts = {slot: case.number(slot) for slot in ("l1-l2", "l2-l3", "l1-l3")}
    largest = max(volts.values())
    if largest < 90:
        return None
    lowest = min(volts, key=lambda slot: volts[slot])
    share = volts[lowest] / largest * 100
    entry = case.limit("lost-leg.dead")
    if place(share, entry.limit)[0] is WITHIN:
        return None
    return judged(
        case,
        share,
        entry,
        f"{lowest.upper()} {show(volts[lowest])} V of {show(largest)} V",
        subject=f"the voltage at {lowest.upper()}, as a share of the largest,",
    )


LOST_LEG = Check(
    name="lost-leg",
    title="Lost leg of the supply",
    needs=_LEGS,
    each=PLACES,
    decide=_lost_leg,
    gather=legs,
    subject="the weakest leg",
    means={
        "low": "one leg of the supply is lost; a three-phase motor must not run on the others: look at fuses, breaker, "
        "contactor and connections upstream"
    },
    limits=("lost-leg.dead",),
    cautions=("live measuring",),
)


def _leg_to_ground(case: Case) -> Decision:
    volts = {slot: case.number(slot) for slot in ("l1", "l2", "l3")}
    ordered = sorted(volts.values())
    low, middle, high = ordered
    formula = " / ".join(f"{slot.upper()} {show(v)} V" for slot, v in volts.items()) + " to ground"
    entry = case.limit("leg-to-ground.even")
    if middle and abs(middle - low) <= middle / 10 and Decimal("1.6") <= high / middle <= Decimal("1.85"):
        wild = max(volts, key=lambda slot: volts[slot]).upper()
        return stated(
            case,
            WITHIN,
            f"The leg {wild} stands higher to ground than the others, as the wild leg of a "
            "240 V delta does; that is no fault.",
            Authority.PHYSICS,
            value=high,
            unit="volt",
            formula=formula,
            source="a delta grounded at the middle of one winding: 120, 120 and 208 V to ground",
        )
    if high and low < high / 10:
        return stated(
            case,
            MARGINAL,
            f"One leg shows {shown(low, 'volt')} to ground and the others do not: a lost leg, or a "
            "delta with a grounded corner; compare line to line.",
            Authority.PHYSICS,
            value=low,
            unit="volt",
            formula=formula,
            source="Kirchhoff's voltage law",
        )
    return judged(case, deviation(low if middle - low > high - middle else high, middle), entry, formula)


LEG_TO_GROUND = Check(
    name="leg-to-ground",
    title="Legs of the supply to ground",
    needs={
        name: voltage(
            f"the voltage from {name.upper()} to ground",
            points=pairs(f"{name.upper()} ground", f"{name.upper()} neutral"),
        )
        for name in ("l1", "l2", "l3")
    },
    each=PLACES,
    decide=_leg_to_ground,
    subject="the leg that strays farthest from the others to ground",
    means={
        "low": "compare line to line before drawing conclusions",
        "high": "compare line to line before drawing conclusions",
    },
    limits=("leg-to-ground.even",),
    cautions=("live measuring",),
)

CHECKS = (
    UNBALANCE,
    LOST_LEG,
    LEG_TO_GROUND,
)
