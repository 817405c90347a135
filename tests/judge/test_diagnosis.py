"""Reasoning across verdicts: what is proposed, on what it rests, and what stays unsaid."""

from __future__ import annotations

import pytest

from journal.domain.reading import Reading
from journal.domain.visit import Equipment, Finding
from journal.judge.patterns import PATTERNS
from tests.builders import a_reading
from tests.judge.builders import judged

SPLIT = Equipment("unit two", type="split air conditioner, no receiver", refrigerant="R-410A")
RECEIVER = Equipment("rack", type="air conditioner with a receiver", refrigerant="R-410A")


def titles(*readings: Reading, **rest: object) -> list[str]:
    return [d.title for d in judged(*readings, **rest).diagnoses]  # type: ignore[arg-type]


def starved(liquid: str = "95") -> list[Reading]:
    return [
        a_reading(psi="98", component="suction"),
        a_reading(psi="310", component="discharge"),
        a_reading(degF="64", component="suction line"),
        a_reading(degF=liquid, component="liquid line"),
    ]


def test_low_charge_needs_both_signs_and_no_receiver() -> None:
    assert "Low on charge" in titles(*starved(), equipment=[SPLIT])
    assert "Low on charge" not in titles(*starved("86"), equipment=[SPLIT])
    assert "Low on charge" not in titles(*starved(), equipment=[RECEIVER])


def test_high_superheat_with_good_subcooling_is_no_charge_problem() -> None:
    assert "Restriction or starved evaporator, not charge" in titles(*starved("88"), equipment=[SPLIT])


def test_a_ground_overrides_good_windings() -> None:
    readings = [
        a_reading(ohm="1.8", points="common run"),
        a_reading(ohm="4.9", points="common start"),
        a_reading(ohm="6.7", points="run start"),
        a_reading(ohm="40", points="common ground"),
    ]
    judgement = judged(*readings)
    (diagnosis,) = judgement.diagnoses
    assert diagnosis.title == "Compressor motor grounded"
    assert "add up" in diagnosis.because
    assert readings[3].id in diagnosis.readings
    assert readings[0].id not in diagnosis.readings
    assert diagnosis.confirm
    assert diagnosis.proposed_by == "journal"
    grounded = next(v for v in judgement.verdicts if v.check == "winding-to-ground")
    assert diagnosis.verdicts == (grounded.id,)


def test_locked_rotor_looks_around_the_compressor_first() -> None:
    readings = [
        a_reading(ampere="12", role="nameplate", component="compressor", conditions=("rated load",)),
        a_reading(ampere="70", role="nameplate", component="compressor", conditions=("locked rotor",)),
        a_reading(ampere="66", component="compressor"),
    ]
    (diagnosis,) = judged(*readings).diagnoses
    for first in ("voltage at the contactor", "start relay", "equalize", "legs", "overload"):
        assert first in diagnosis.confirm
    grounded = a_reading(ohm="4", points="common ground")
    assert titles(*readings, grounded) == ["Compressor motor grounded"]


def test_no_voltage_behind_a_closed_contact_points_upstream() -> None:
    readings = [
        a_reading(state="continuity", component="low pressure control", conditions=("closed",)),
        a_reading(kind="voltage", state="absent", component="contactor coil"),
    ]
    assert "Look upstream" in titles(*readings)
    assert "Look upstream" not in titles(readings[0])


def test_not_pumping() -> None:
    readings = [
        a_reading(ampere="14.1", role="nameplate", component="compressor"),
        a_reading(ampere="6", component="compressor"),
        a_reading(psi="190", component="suction"),
        a_reading(psi="215", component="discharge"),
    ]
    assert "Compressor does not pump" in titles(*readings, equipment=[SPLIT])
    assert "Compressor does not pump" not in titles(
        readings[0], a_reading(ampere="13", component="compressor"), *readings[2:], equipment=[SPLIT]
    )


def test_findings_join_in() -> None:
    oil = Finding("oil residue", component="suction")
    assert "Leak" in titles(*starved(), equipment=[SPLIT], findings=[oil])
    assert "Leak" not in titles(*starved(), equipment=[SPLIT], findings=[Finding("oil residue", negated=True)])
    assert "Leak" not in titles(equipment=[SPLIT], findings=[oil])
    glass = Finding("clear", component="sight glass")
    assert "Liquid is there: look behind the sight glass" in titles(*starved("88"), equipment=[SPLIT], findings=[glass])


def test_unbalance_from_the_supply_or_not() -> None:
    volts = [
        a_reading(volt=v, points=p, component="compressor")
        for v, p in (("230", "L1 L2"), ("239", "L2 L3"), ("228", "L1 L3"))
    ]
    even = [a_reading(volt="230", points=p, component="compressor") for p in ("L1 L2", "L2 L3", "L1 L3")]
    legs = [
        a_reading(ampere=a, points=p, component="compressor") for a, p in (("18", "L1"), ("24", "L2"), ("19", "L3"))
    ]
    assert "Unbalance comes with the supply" in titles(*volts, *legs)
    assert "Unbalance not from the supply" in titles(*even, *legs)


def test_a_diagnosis_on_a_doubted_reading_says_so() -> None:
    doubted = a_reading(ohm="40", points="common ground", doubt="forty or fourteen?")
    (diagnosis,) = judged(doubted).diagnoses
    assert "needs listening" in diagnosis.because


def test_phases_are_reasoned_apart() -> None:
    found = starved()
    left = [r.with_(phase="as left") for r in starved()]
    assert titles(found[0], found[2], left[1], left[3], equipment=[SPLIT]) == []


@pytest.mark.parametrize("pattern", PATTERNS, ids=lambda p: p.title)
def test_every_pattern_explains_itself(pattern: object) -> None:
    title, because, confirm = (getattr(pattern, name) for name in ("title", "because", "confirm"))
    assert because.endswith(".")
    assert confirm.endswith(".")
    for text in (title, because, confirm):
        assert "%" not in text, "no odds pulled from the air"
        assert "probab" not in text.lower()
        assert "replace" not in text.lower()
        assert "safe" not in text.lower()


def test_titles_are_told_apart() -> None:
    assert len({p.title for p in PATTERNS}) == len(PATTERNS)
