"""Subcooling: the bubble point of the liquid against its line."""

from __future__ import annotations

from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.verdict import Authority
from journal.judge.answers import judged, undetermined
from journal.judge.check import ANY, EXPECTED, NAMEPLATE, Case, Check, Decision, Need
from journal.judge.entries import has_receiver, on_plate
from journal.judge.numbers import show
from journal.judge.superheat import LIQUID_PRESSURE, LIQUID_TEMPERATURE, _compare, _unsettled


def receiver(case: Case) -> bool:
    """Return whether the machine has a receiver or head-pressure control, as far as that was said."""
    return (
        has_receiver(case.equipment)
        or case.saw("receiver", "head pressure control", "flooded")
        or (case.choices.get("receiver", "no").lower() in ("yes", "true"))
    )


def _subcooling(case: Case) -> Decision:
    early = _unsettled(case, "pressure", "line")
    if early:
        return early
    if case.refrigerant == "R-744":
        bubble_needed = case.absolute("pressure")
        if bubble_needed > 6.9e6:
            return undetermined(
                case,
                "the gas cooler's outlet temperature and the maker's pressure for it",
                why="carbon dioxide has no subcooling near and above its critical point",
            )
    bubble = case.saturation("pressure", "bubble")
    line = case.number("line")
    value = bubble - line
    formula = (
        f"{show(bubble)} °F bubble point of {case.refrigerant} at {show(case.number('pressure'))} psig - "
        f"{show(line)} °F line = {show(value, 3)} °F"
    )
    return _judge_subcooling(case, value, formula)


def _judge_subcooling(case: Case, value: Decimal, formula: str) -> Decision:
    impossible = case.limit("superheat-impossible.any")
    if value < (impossible.limit.low or Decimal(-3)):
        return undetermined(
            case,
            "pressure, line temperature and refrigerant again",
            value=value,
            unit="delta_degF",
            formula=formula,
            why="a liquid line is never warmer than its saturation: one of the three is wrong, or the pressure "
            "was read "
            "far from the clamp",
            limits=(impossible.limit,),
            authority=Authority.PHYSICS,
        )
    value = value.quantize(Decimal("0.1"))
    if case.has("target"):
        target, margin = case.number("target"), case.limit("subcooling.nameplate-span").limit
        plated = case.readings["target"].role is NAMEPLATE
        bound = on_plate(
            "delta_degF",
            low=target + (margin.low or Decimal(-3)),
            high=target + (margin.high or Decimal(3)),
            source=f"{show(target)} °F on the plate, within 3 °F"
            if plated
            else f"{show(target)} °F asked for, within 3 °F",
            authority=Authority.NAMEPLATE if plated else Authority.PRACTICE,
        ).bounded(changed_by=margin.changed_by)
        return judged(case, value, bound, formula)
    if receiver(case) and value < 5:
        return undetermined(
            case,
            "the sight glass, the receiver's level and the ambient temperature",
            value=value,
            unit="delta_degF",
            formula=formula,
            why="with a receiver or head-pressure control low subcooling says nothing about the charge",
        )
    entry = case.best("subcooling")
    if entry is None:
        return undetermined(
            case,
            "the plate's subcooling, or what kind of machine it is",
            value=value,
            unit="delta_degF",
            formula=formula,
            why="no target is known for it",
        )
    return judged(case, value, entry, formula)


SUBCOOLING = Check(
    name="subcooling",
    title="Subcooling",
    needs={
        "pressure": LIQUID_PRESSURE,
        "line": LIQUID_TEMPERATURE,
        "target": Need(
            Kind.SUBCOOLING,
            "delta_degF",
            "the subcooling on the plate",
            roles=(NAMEPLATE, EXPECTED),
            components=(ANY,),
            required=False,
        ),
    },
    decide=_subcooling,
    subject="the subcooling",
    means={
        "low": "little liquid stands in the condenser; see superheat and sight glass before adding any",
        "high": "liquid backs up in the condenser: overcharge, a restriction after it, or cool outdoor air",
        "marginal": "read it again when it has settled",
    },
    limits=(
        "subcooling.air-conditioning",
        "subcooling.goodman",
        "subcooling.refrigeration",
        "subcooling.nameplate-span",
    ),
    facts=("refrigerant", "type", "maker", "receiver"),
    steady=True,
    cautions=("refrigerant handling",),
)


def _stated_subcooling(case: Case) -> Decision:
    own = case.saturation("pressure", "bubble") - case.number("line")
    return _compare(case, own)


STATED_SUBCOOLING = Check(
    name="subcooling-stated",
    title="Subcooling told against subcooling computed",
    needs={
        "stated": Need(Kind.SUBCOOLING, "delta_degF", "the subcooling told", components=(ANY,)),
        "pressure": LIQUID_PRESSURE,
        "line": LIQUID_TEMPERATURE,
    },
    decide=_stated_subcooling,
    subject="the difference between the subcooling told and the one computed",
    means={"marginal": "see that the gauge is set for the right refrigerant and uses the bubble point"},
    limits=("superheat-stated.difference",),
    facts=("refrigerant",),
    almost=0,
)

CHECKS = (
    SUBCOOLING,
    STATED_SUBCOOLING,
)
