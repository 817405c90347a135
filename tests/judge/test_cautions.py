"""Cautions: with the announced step, once a topic; on the customer's copy only what is left behind."""

from __future__ import annotations

import pytest

from journal.domain.visit import Equipment
from journal.judge import CHECKS, judge, left_behind
from journal.judge.cautions import for_steps, text, topics
from journal.judge.patterns import PATTERNS
from tests.builders import a_reading
from tests.judge.builders import judged


def test_every_caution_has_its_source_and_calls_nothing_safe() -> None:
    for caution in topics().values():
        assert caution.source
        assert caution.mark in ("seen", "seen second-hand", "memory", "practice")
        assert "safe" not in (caution.text + caution.left_behind).lower()


@pytest.mark.parametrize(
    ("step", "topic"),
    [
        ("charged capacitor", "charged capacitor"),
        ("bled both capacitors", "charged capacitor"),
        ("brazing", "brazing"),
        ("live terminals", "live measuring"),
        ("terminal venting", "compressor terminals"),
        ("recovery", "refrigerant handling"),
        ("pressure", "refrigerant handling"),
        ("nitrogen", "nitrogen"),
        ("roof", "roof edge"),
        ("burnout acid", "burnout acid"),
        ("trapped liquid", "trapped liquid"),
        ("moving parts", "moving parts"),
        ("flammable refrigerant", "flammable refrigerant"),
        ("ammonia", "ammonia"),
        ("megger", "insulation test"),
        ("evacuating", "vacuum"),
        ("inside the box", "leaked gas"),
    ],
)
def test_the_announced_step_calls_for_its_caution(step: str, topic: str) -> None:
    assert topic in for_steps([step])


def test_live_terminals_are_not_the_compressors() -> None:
    assert for_steps(["live terminals"]) == ("live measuring",)


def test_once_a_visit_and_topic() -> None:
    judgement = judge([], steps=("bled both capacitors", "run capacitor", "charged capacitor"))
    assert judgement.cautions == (text("charged capacitor"),)
    assert judge([]).cautions == ()
    assert judge([], steps=("drinking coffee",)).cautions == ()


def test_a_burning_refrigerant_adds_its_own_caution() -> None:
    propane = Equipment("reach-in", refrigerant="R-290")
    assert "flammable refrigerant" in for_steps(["brazing"], [propane])
    assert "flammable refrigerant" not in for_steps(["roof"], [propane])
    assert "flammable refrigerant" not in for_steps(["brazing"], [Equipment("x", refrigerant="R-404A")])
    assert "high pressure" in for_steps(["recovery"], [Equipment("x", refrigerant="R-744")])


def test_shades_and_nitrogen_of_brazing() -> None:
    """Cal. Code Regs. title 8 section 3382 table EP-1: 3 or 4 for torch brazing, 2 for soldering."""
    assert "Shade 3 or 4 for torch brazing, 2 for soldering" in text("brazing")
    assert "about 3 psig" in text("brazing")


def test_every_topic_a_check_names_exists() -> None:
    for check in CHECKS.values():
        for topic in check.cautions:
            assert text(topic)
    assert PATTERNS


def test_only_hazards_left_behind_go_on_the_customers_copy() -> None:
    grounded = judged(a_reading(ohm="12", points="common ground", component="compressor"))
    assert left_behind(grounded.verdicts) == (topics()["compressor terminals"].left_behind,)
    warm = judged(a_reading(degF="47", component="product"))
    assert left_behind(warm.verdicts) == (topics()["food"].left_behind,)
    cool = judged(a_reading(degF="38", component="product"))
    assert left_behind(cool.verdicts) == ()


def test_what_was_put_right_is_not_left_behind() -> None:
    readings = [a_reading(degF="47", component="product"), a_reading(degF="39", component="product", phase="as left")]
    assert left_behind(judged(*readings).verdicts) == ()
    again = [a_reading(degF="39", component="product"), a_reading(degF="47", component="product", phase="as left")]
    assert len(left_behind(judged(*again).verdicts)) == 1


def test_a_leak_of_a_burning_refrigerant_is_left_behind() -> None:
    unit = Equipment("reach-in", refrigerant="R-290")
    vacuum = [
        a_reading(micron_Hg="400", component="vacuum"),
        a_reading(micron_Hg="5000", component="vacuum", conditions=("isolated",)),
    ]
    verdicts = judged(*vacuum, equipment=[unit]).verdicts
    assert left_behind(verdicts, [unit]) == (topics()["flammable refrigerant"].left_behind,)
    assert left_behind(verdicts, [Equipment("reach-in", refrigerant="R-404A")]) == ()
