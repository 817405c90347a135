"""The comparison of tables and interpretations, with invented interpretations."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Doubt, Phase, Reading, Role, State, Trend
from journal.domain.visit import Equipment, Finding, Interpretation, Note, WorkDone
from tests.interpret.phrase_tables import Phrase, align, differences, parse_table

DOUBT = Doubt("confusable", "fifteen and fifty sound alike")
OHMS = Reading(Kind.RESISTANCE, value=Decimal("1.40"), unit="ohm", points=("common", "run"))
AMPS = Reading(Kind.CURRENT, value=Decimal(9), unit="ampere", component="compressor")


def phrase(lines: str, said: str = '"x"') -> Phrase:
    return parse_table(f'about = "x"\n[[phrase]]\nsaid = {said}\n{lines}\n', Path("invented.toml"))[0]


TWO = phrase(
    """readings = [
  { kind = "resistance", value = "1.4", unit = "ohm", points = ["common", "run"] },
  { kind = "current", value = "9", unit = "ampere", component = "compressor" },
]"""
)


def test_right_is_right_and_values_are_numbers() -> None:
    assert differences(TWO, Interpretation((OHMS, AMPS))) == []


def test_missing_and_unexpected() -> None:
    assert differences(TWO, Interpretation((OHMS,))) == ["missing reading: current 9 ampere compressor"]
    extra = Reading(Kind.VOLTAGE, value=Decimal(240), unit="volt")
    assert differences(TWO, Interpretation((OHMS, extra, AMPS))) == ["unexpected reading: voltage 240 volt"]
    assert differences(phrase("readings = []"), Interpretation((AMPS,))) == [
        "unexpected reading: current 9 ampere compressor"
    ]


def test_order_counts() -> None:
    assert len(differences(TWO, Interpretation((AMPS, OHMS)))) == 2


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"value": Decimal("1.04")}, "value is 1.04, should be 1.4"),
        ({"value": None, "state": State.OPEN}, "value is open, should be 1.4"),
        ({"value": None, "high": Decimal("1.4")}, "value is ..1.4, should be 1.4"),
        ({"unit": "kiloohm"}, "unit is kiloohm, should be ohm"),
        ({"role": Role.NAMEPLATE}, "role is nameplate, should be measured"),
        ({"points": ("run", "common")}, "points is run, common, should be common, run"),
        ({"points": ()}, "points is none, should be common, run"),
        ({"withdrawn": True}, "withdrawn is True, should be False"),
    ],
)
def test_one_wrong_field_is_named_alone(changes: dict[str, object], message: str) -> None:
    found = differences(TWO, Interpretation((OHMS.with_(**changes), AMPS)))
    assert found == [f"resistance 1.4 ohm common-run: {message}"]


@pytest.mark.parametrize(
    ("key", "changes", "message"),
    [
        ('component = "blower motor"', {}, "component is compressor, should be blower motor"),
        ('phase = "as left"', {}, "phase is as found, should be as left"),
        ('trend = "hunting"', {"trend": Trend.STEADY}, "trend is steady, should be hunting"),
        ("hedged = true", {}, "hedged is False, should be True"),
        ('conditions = ["running"]', {"conditions": ("off",)}, "conditions is off, should be running"),
        ("held_for = 600", {"held_for": Decimal(60)}, "held for 60 s, should be 600 s"),
        ('equipment = "rack B"', {"equipment": "rack C"}, "equipment is rack C, should be rack B"),
        ("doubted = true", {}, "no doubt is raised"),
        ("doubted = false", {"doubts": (DOUBT,)}, "doubted: fifteen and fifty sound alike"),
        ('alternatives = ["90"]', {"alternatives": (Alternative(Decimal(19)),)}, "alternatives lack 90"),
    ],
)
def test_given_keys_are_compared(key: str, changes: dict[str, object], message: str) -> None:
    expected = phrase(f'readings = [{{ kind = "current", value = "9", unit = "ampere", {key} }}]')
    found = differences(expected, Interpretation((AMPS.with_(**changes),)))
    assert [line.split(": ", 1)[1] for line in found] == [message]


def test_given_keys_that_agree() -> None:
    expected = phrase(
        'readings = [{ kind = "current", value = "9", unit = "ampere", phase = "as left", trend = "moving", '
        'conditions = ["running", "defrost"], held_for = 600, equipment = "second condensing unit", doubted = true, '
        'alternatives = ["90"], hedged = true, points = "any", role = "any" }]'
    )
    reading = AMPS.with_(
        phase=Phase.AS_LEFT,
        trend=Trend.MOVING,
        conditions=("defrost", "running"),
        held_for=Decimal("600.0"),
        equipment="condensing unit two",
        doubts=(DOUBT,),
        alternatives=(Alternative(Decimal("90.0")),),
        hedged=True,
        points=("L1",),
        role=Role.EXPECTED,
    )
    assert differences(expected, Interpretation((reading,))) == []


def test_withdrawn_readings_only_count_when_listed() -> None:
    gone = AMPS.with_(value=Decimal(90), withdrawn=True)
    assert differences(TWO, Interpretation((OHMS, gone, AMPS))) == []
    listed = phrase(
        """readings = [{ kind = "current", value = "90", withdrawn = true },
        { kind = "current", value = "9", unit = "ampere" }]"""
    )
    assert differences(listed, Interpretation((gone, AMPS))) == []
    assert differences(listed, Interpretation((AMPS,))) == ["missing reading: current 90 (withdrawn)"]


def test_optional_readings_may_stay_away_but_not_be_wrong() -> None:
    expected = phrase('readings = [{ kind = "mass", value = "2", unit = "pound", optional = true }]')
    assert differences(expected, Interpretation()) == []
    assert align(expected, Interpretation()) == []
    pounds = Reading(Kind.MASS, value=Decimal(2), unit="pound")
    assert differences(expected, Interpretation((pounds,))) == []
    assert differences(expected, Interpretation((pounds.with_(value=Decimal(20)),))) != []


def test_thirds_have_the_only_tolerance() -> None:
    third = phrase('readings = [{ kind = "current", value = "7/3", unit = "ampere" }]')
    assert differences(third, Interpretation((AMPS.with_(value=Decimal("2.333")),))) == []
    assert differences(third, Interpretation((AMPS.with_(value=Decimal("2.3")),))) != []
    plain = phrase('readings = [{ kind = "current", value = "2.33", unit = "ampere" }]')
    assert differences(plain, Interpretation((AMPS.with_(value=Decimal("2.333")),))) != []


def test_doubted_value_of_unknown_kind() -> None:
    expected = phrase('readings = [{ value = "190", component = "discharge", doubted = true }]')
    reading = Reading(Kind.PRESSURE, value=Decimal(190), unit="psi", component="discharge", doubts=(DOUBT,))
    assert differences(expected, Interpretation((reading,))) == []
    assert differences(expected, Interpretation((reading.with_(doubts=()),))) != []


def test_findings_and_work_are_complete_when_given() -> None:
    expected = phrase(
        """readings = []
findings = [{ what = "oil residue", component = "receiver", negated = true }]
work = [{ action = "added", amount = "2.5", unit = "pound" }]"""
    )
    oil = Finding("oil residue", "receiver", negated=True)
    added = WorkDone("added", amount=Decimal("2.50"), unit="pound", part="R-448A")
    assert differences(expected, Interpretation(findings=(oil,), work=(added,))) == []
    assert differences(expected, Interpretation(findings=(Finding("oil residue", "receiver"),), work=())) == [
        "missing finding: what oil residue, component receiver, negated True",
        "unexpected finding: what oil residue, component receiver, negated False",
        "missing work: action added, amount 2.5, unit pound, done True",
    ]
    assert differences(phrase("readings = []"), Interpretation(findings=(oil,), work=(added,))) == []


def test_refrigerant_complaint_and_plate() -> None:
    expected = phrase('readings = []\nrefrigerant = "R-448A"\ncomplaint = "not cooling"\nserial = "3H55018"')
    machine = Equipment("rack B", refrigerant="R-448A", serial="3h-55018", doubts=(DOUBT,))
    note = Note("complaint", "box is Not cooling since noon")
    assert differences(expected, Interpretation(equipment=(machine,), notes=(note,))) == []
    sure = Equipment("rack B", refrigerant="R-449A", serial="3H55018")
    assert differences(expected, Interpretation(equipment=(sure,))) == [
        "refrigerant is R-449A, should be R-448A",
        "complaint is '', should contain 'not cooling'",
        "the serial 3H55018 is not doubted, though it was spelled",
    ]
    nothing = phrase('readings = []\nrefrigerant = "none"')
    assert differences(nothing, Interpretation(equipment=(Equipment("x"),))) == []
    assert differences(nothing, Interpretation(equipment=(sure,))) == ["refrigerant is R-449A, should be none"]
    assert differences(phrase('readings = []\nmodel = "WC42B"'), Interpretation()) == ["no machine has the model WC42B"]


def test_pairs_for_counting() -> None:
    wrong = AMPS.with_(value=Decimal(90))
    pairs = align(TWO, Interpretation((wrong,)))
    assert [(e is not None, r is not None) for e, r in pairs] == [(True, False), (True, True)]
