"""What holds for every check and every finite input."""

from __future__ import annotations

import dataclasses
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import Phase as Steps
from hypothesis import strategies as st

from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Doubt, Phase, Reading, Reference, Role, State, Trend
from journal.domain.unit_table import unit_table
from journal.domain.verdict import Outcome
from journal.domain.visit import Equipment
from journal.judge import CHECKS, Surroundings, judge, plausibility
from journal.judge.check import ANY, OWN, Case, Check, Need
from journal.judge.frame import verdict_of
from journal.judge.numbers import in_unit
from tests.judge.builders import by_hand

#: shrinking a whole case takes minutes and says little more than the case that failed
QUICK = settings(
    max_examples=15,
    deadline=None,
    phases=(Steps.explicit, Steps.reuse, Steps.generate),
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
MACHINES = st.sampled_from(
    [
        None,
        Equipment("a", type="walk-in cooler", refrigerant="R-448A"),
        Equipment("b", type="walk-in freezer with a receiver", refrigerant="R-404A", maker="Copeland"),
        Equipment("c", type="split air conditioner", refrigerant="R-410A", maker="Goodman"),
        Equipment("d", type="reach-in", refrigerant="R-290"),
        Equipment("e", type="rack", refrigerant="R-744"),
        Equipment("f", type="rooftop unit", refrigerant="R-999"),
        Equipment("g", type="scroll chiller", refrigerant="R-408A", maker="Carrier"),
    ]
)
NUMBERS = st.one_of(
    st.decimals(min_value=-1000, max_value=1000, places=2),
    st.decimals(allow_nan=False, allow_infinity=False),
    st.sampled_from([Decimal(0), Decimal("1e30"), Decimal("-1e30"), Decimal("1e-30"), Decimal("1E+6000")]),
)


def units_for(kind: Kind) -> list[str]:
    return [code for code, unit in unit_table().items() if kind in unit.kinds]


@st.composite
def a_reading_for(draw: st.DrawFn, need: Need, component: str | None, slot: str) -> Reading:
    """Return some reading of a need's kind: a number, a range, a bound or a state, in any unit of it."""
    unit = draw(st.sampled_from(units_for(need.kind)))
    shape = draw(st.sampled_from(["value"] * 6 + ["range", "low", "high"] + (["state"] * 3 if need.states else [])))
    fields: dict[str, object] = {}
    if shape == "value":
        fields["value"] = draw(NUMBERS)
    elif shape == "range":
        low, high = sorted((draw(NUMBERS), draw(NUMBERS)))
        fields |= {"low": low, "high": high}
    elif shape == "state":
        fields["state"] = draw(st.sampled_from(list(State)))
    else:
        fields[shape] = draw(NUMBERS)
    said = draw(
        st.sampled_from(
            [(), (), *[(word,) for word in (*need.said, "running", "off", "closed", "starting", "display")]]
        )
    )
    return Reading(
        need.kind,
        need.roles[0],
        unit=unit,
        component=component,
        points=tuple(sorted(need.points[0])) if need.points else (),
        conditions=said,
        trend=draw(st.sampled_from([None, None, *Trend])),
        reference=draw(st.sampled_from([None, *Reference])) if need.kind is Kind.PRESSURE else None,
        doubts=draw(st.sampled_from([(), (), (Doubt("confusable", "fifteen or fifty?"),)])),
        alternatives=(
            Alternative(value=draw(NUMBERS)),
            Alternative(state=State.OPEN),
            Alternative(kind=Kind.TEMPERATURE),
        ),
        id=slot,
        **fields,  # type: ignore[arg-type]
    )


@pytest.mark.parametrize("name", CHECKS)
@QUICK
@given(data=st.data())
def test_no_finite_input_breaks_a_check(name: str, data: st.DataObject) -> None:
    """Any finite input gives a whole verdict or silence; never 'within' with something missing."""
    check: Check = CHECKS[name]
    component = data.draw(st.sampled_from([part for part in check.each if part] or [None]))
    dropped = data.draw(st.sampled_from([None, None, None, *check.needs]))
    readings = {
        slot: data.draw(a_reading_for(need, component, slot))
        for slot, need in check.needs.items()
        if slot != dropped and (need.required or data.draw(st.booleans()))
    }
    case = Case(
        check,
        readings,
        component,
        data.draw(MACHINES),
        around=Surroundings(altitude_m=data.draw(st.sampled_from([None, 0, 3000]))),
    )
    verdict = verdict_of(case)
    if verdict is None:
        return
    missing = [slot for slot, need in check.needs.items() if need.required and slot not in readings]
    assert not (missing and verdict.outcome is not Outcome.UNDETERMINED)
    assert (verdict.outcome is Outcome.UNDETERMINED) == bool(verdict.missing)
    assert verdict.plain.endswith(".")
    assert "{" not in verdict.plain
    assert verdict.value is None or verdict.value.is_finite()
    assert verdict.rests_on_doubt == any(r.doubts for r in readings.values())
    if verdict.rests_on_doubt:
        assert verdict.doubt_note
    if verdict.outcome is not Outcome.UNDETERMINED:
        assert verdict.source, "a decided verdict names its source"
    words = verdict.plain.lower()
    assert "is safe" not in words
    assert "safe to" not in words
    if not verdict.authority.may_condemn:
        assert "replace it" not in words
        assert "condemn it" not in words


def _readings(draw: st.DrawFn) -> list[Reading]:
    checks = draw(st.lists(st.sampled_from(list(CHECKS)), min_size=1, max_size=4))
    found = []
    for name in checks:
        check = CHECKS[name]
        own = draw(st.sampled_from(list(check.each)))
        for slot, need in check.needs.items():
            part = draw(st.sampled_from(list(need.components)))
            component = own if part == OWN else (None if part == ANY else part)
            reading = draw(a_reading_for(need, component, f"{name}/{slot}/{len(found)}"))
            found.append(
                dataclasses.replace(
                    reading,
                    phase=draw(st.sampled_from(list(Phase))),
                    withdrawn=draw(st.sampled_from([False] * 5 + [True])),
                )
            )
    return found


@settings(QUICK, max_examples=60)
@given(data=st.data())
def test_no_visit_breaks_the_judge(data: st.DataObject) -> None:
    readings = data.draw(st.composite(_readings)())
    machine = data.draw(MACHINES)
    machines = [machine] if machine else []
    judgement = judge(readings, machines, steps=("bled both capacitors", "brazing"))
    withdrawn = {r.id for r in readings if r.withdrawn}
    for verdict in judgement.verdicts:
        assert withdrawn.isdisjoint(verdict.readings)
        assert verdict.readings
        assert verdict.id
    ids = {v.id for v in judgement.verdicts}
    for diagnosis in judgement.diagnoses:
        assert ids.issuperset(diagnosis.verdicts)
    doubts = plausibility(readings, machines)
    assert withdrawn.isdisjoint(doubts)
    assert all(found for found in doubts.values())


#: check, slot that moves, the others, what moves upwards with it
RISING: list[tuple[str, str, dict[str, str], str]] = [
    ("superheat", "line", {"pressure": "50 psig", "refrigerant": "R-448A", "type": "walk-in cooler"}, "F"),
    ("evaporator-difference", "box", {"pressure": "50 psig", "refrigerant": "R-448A", "type": "walk-in cooler"}, "F"),
    ("compression-ratio", "discharge", {"suction": "20 psig", "type": "walk-in freezer"}, "psig"),
    ("net-oil-pressure", "outlet", {"crankcase": "30 psig"}, "psig"),
    ("leak-rate-annualized", "added", {"charge": "300 lb", "days": "90 days", "refrigerant": "R-404A"}, "lb"),
    ("capacitor-under-load", "current", {"voltage": "400 V", "marked": "45 uF"}, "A"),
    ("heater-current", "measured", {"rated": "10 A"}, "A"),
]


@pytest.mark.parametrize(("name", "slot", "others", "unit"), RISING)
@QUICK
@given(
    first=st.decimals(min_value="60", max_value="150", places=1),
    more=st.decimals(min_value="0.5", max_value="60", places=1),
)
def test_what_rises_with_its_reading(
    name: str, slot: str, others: dict[str, str], unit: str, first: Decimal, more: Decimal
) -> None:
    lower = by_hand(name, **{slot: f"{first} {unit}"}, **others).value
    higher = by_hand(name, **{slot: f"{first + more} {unit}"}, **others).value
    assert lower is not None
    assert higher is not None
    assert higher > lower


FALLING: list[tuple[str, str, dict[str, str], str]] = [
    ("superheat", "pressure", {"line": "130 F", "refrigerant": "R-448A", "type": "walk-in cooler"}, "psig"),
    ("compression-ratio", "suction", {"discharge": "250 psig", "type": "walk-in freezer"}, "psig"),
    ("subcooling", "line", {"pressure": "600 psig", "refrigerant": "R-410A", "type": "split air conditioner"}, "F"),
]


@pytest.mark.parametrize(("name", "slot", "others", "unit"), FALLING)
@QUICK
@given(
    first=st.decimals(min_value="20", max_value="80", places=1),
    more=st.decimals(min_value="0.5", max_value="40", places=1),
)
def test_what_falls_with_its_reading(
    name: str, slot: str, others: dict[str, str], unit: str, first: Decimal, more: Decimal
) -> None:
    higher = by_hand(name, **{slot: f"{first} {unit}"}, **others).value
    lower = by_hand(name, **{slot: f"{first + more} {unit}"}, **others).value
    assert lower is not None
    assert higher is not None
    assert lower < higher


@pytest.mark.parametrize("refrigerant", ["R-22", "R-134a", "R-404A", "R-448A", "R-410A", "R-454B", "R-290", "R-513A"])
@QUICK
@given(psi=st.decimals(min_value="0", max_value="400", places=1))
def test_saturation_rises_with_pressure(refrigerant: str, psi: Decimal) -> None:
    lower = by_hand("saturation", pressure=f"{psi} psig", refrigerant=refrigerant).value
    higher = by_hand("saturation", pressure=f"{psi + 1} psig", refrigerant=refrigerant).value
    assert lower is not None
    assert higher is not None
    assert higher > lower


#: check, slot, its values in one unit, the other unit, the others
SAME_AMOUNT: list[tuple[str, str, str, str, dict[str, str]]] = [
    ("superheat", "line", "degF", "degC", {"pressure": "50 psig", "refrigerant": "R-448A", "type": "walk-in cooler"}),
    ("superheat", "pressure", "psi", "kilopascal", {"line": "60 F", "refrigerant": "R-448A", "type": "walk-in cooler"}),
    ("product-temperature", "measured", "degF", "degC", {}),
    ("box-temperature", "measured", "degF", "degC", {"type": "walk-in cooler"}),
    ("discharge-temperature", "measured", "degF", "degC", {}),
    ("high-side-pressure", "measured", "psi", "kilopascal", {"plate": "50 psig"}),
    ("high-side-pressure", "measured", "psi", "bar", {"plate": "50 psig"}),
    ("coil", "measured", "ohm", "kiloohm", {"data": "50 ohm"}),
    ("heater-resistance", "measured", "ohm", "kiloohm", {"expected": "50 ohm"}),
    ("winding-to-ground", "measured", "megaohm", "kiloohm", {"instrument": "megohmmeter", "maker": "Tecumseh"}),
    ("supply-voltage", "measured", "volt", "kilovolt", {"nameplate": "50 V"}),
    ("motor-current", "measured", "ampere", "milliampere", {"rated": "50 A"}),
    ("flammable-charge", "charge", "ounce", "gram", {"refrigerant": "R-290"}),
]


@pytest.mark.parametrize(("name", "slot", "one", "other", "others"), SAME_AMOUNT)
@QUICK
@given(value=st.decimals(min_value="30", max_value="80", places=1).filter(lambda value: value != 50))
def test_another_unit_gives_the_same_answer(
    name: str, slot: str, one: str, other: str, others: dict[str, str], value: Decimal
) -> None:
    """psi and kPa, degF and degC, kohm and ohm: the same amount gives the same outcome and value.

    Right at the plate's 50 the last digit of a conversion decides, so that 50 is left out.
    """
    first = by_hand(name, **{slot: f"{value} {one}"}, **others)
    second = by_hand(name, **{slot: f"{in_unit(value, one, other):f} {other}"}, **others)
    if first.outcome is not Outcome.UNDETERMINED and second.outcome is not Outcome.UNDETERMINED:
        assert first.outcome is second.outcome
    assert first.value is not None
    assert second.value is not None
    assert float(first.value) == pytest.approx(float(second.value), rel=1e-4, abs=0.06)


@pytest.mark.parametrize("role", [Role.EXPECTED, Role.SETTING, Role.NAMEPLATE])
def test_only_measured_readings_are_judged(role: Role) -> None:
    """'Should be 240' is no measurement."""
    plate = Reading(Kind.VOLTAGE, Role.NAMEPLATE, Decimal(230), unit="volt", component="compressor", id="p")
    other = Reading(Kind.VOLTAGE, role, Decimal(300), unit="volt", component="compressor", points=("L1", "L2"), id="x")
    verdicts = [v for v in judge([plate, other]).verdicts if v.outcome is not Outcome.UNDETERMINED]
    assert verdicts == []
