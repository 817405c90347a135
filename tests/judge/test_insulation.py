"""Insulation to ground: makers' limits, dead grounds, and what an ohmmeter cannot say."""

from __future__ import annotations

import pytest

from tests.builders import a_reading
from tests.judge.builders import by_hand, found, judged, outcome

TESTER = {"instrument": "megohmmeter"}


def test_an_ohmmeter_never_proves_insulation() -> None:
    """Tecumseh handbook pp. 41, 49: an ordinary ohmmeter does not reliably detect a ground fault."""
    for shown in ("open", "50 megohm", ">60 megohm"):
        verdict = by_hand("winding-to-ground", measured=shown)
        assert verdict.outcome == "undetermined", shown
        assert "500 V" in verdict.missing[0]
        assert "no dead ground found" in verdict.plain


@pytest.mark.parametrize("read", ["12 ohm", "short", "continuity", "19.9 kohm"])
def test_a_dead_ground_is_damage_by_any_meter(read: str) -> None:
    verdict = by_hand("winding-to-ground", measured=read)
    assert (verdict.outcome, verdict.authority) == ("outside", "physics")


@pytest.mark.parametrize(
    ("maker", "read", "expected"),
    [
        ("Copeland", "0.23 Mohm", "outside"),  # 1000 ohm per volt at 230 V, and below 0.5 megohm
        ("Copeland", "0.5 Mohm", "within"),
        ("Copeland", "0.49 Mohm", "outside"),
        ("Copeland", "0.6 Mohm", "within"),
        ("Tecumseh", "0.6 Mohm", "outside"),
        ("Tecumseh", "2 Mohm", "within"),
        ("Tecumseh", "1.99 Mohm", "outside"),
    ],
)
def test_makers_limits(maker: str, read: str, expected: str) -> None:
    """Copeland AE4-1294: 1000 ohm per volt, 0.5 megohm; Tecumseh handbook pp. 41, 49: 2 megohms."""
    verdict = by_hand("winding-to-ground", measured=read, maker=maker, voltage="230 V", **TESTER)
    assert (verdict.outcome, verdict.authority) == (expected, "maker")


def test_a_thousand_ohms_per_volt_above_half_a_megohm() -> None:
    """Copeland AE4-1294 at 575 V: 0.575 megohm."""
    given = {"maker": "Copeland", "voltage": "575 V", **TESTER}
    assert outcome("winding-to-ground", measured="0.57 Mohm", **given) == "outside"
    assert outcome("winding-to-ground", measured="0.58 Mohm", **given) == "within"


def test_one_reading_does_not_condemn_a_copeland() -> None:
    verdict = by_hand("winding-to-ground", measured="0.3 Mohm", maker="Copeland", **TESTER)
    assert "one reading does not condemn" in verdict.plain
    assert "replace" not in verdict.plain


@pytest.mark.parametrize(
    ("read", "expected"),
    [
        ("100 Mohm", "within"),
        ("20 Mohm", "within"),
        ("19.9 Mohm", "marginal"),
        ("3 Mohm", "marginal"),
        ("0.4 Mohm", "outside"),
    ],
)
def test_unknown_maker_is_practice(read: str, expected: str) -> None:
    """A compressor soaked with refrigerant and POE may show 1 to 5 megohms: watch, do not fail (common practice)."""
    verdict = by_hand("winding-to-ground", measured=read, **TESTER)
    assert (verdict.outcome, verdict.authority) == (expected, "practice")


def test_carriers_centrifugal_limit_is_silent_elsewhere() -> None:
    """Carrier 17/19EX: 50 megohms at 500 V; it is not for every Carrier machine."""
    assert (
        by_hand(
            "winding-to-ground", measured="40 Mohm", maker="Carrier", type="19EX centrifugal chiller", **TESTER
        ).outcome
        == "outside"
    )
    assert (
        by_hand("winding-to-ground", measured="40 Mohm", maker="Carrier", type="rooftop unit", **TESTER).outcome
        == "within"
    )


def test_open_motor_at_its_temperature() -> None:
    """IEEE 43 (from memory): 5 megohms at 40 degC, halving per 10 K: 10 megohms at 20 degC is 2.5 at 40."""
    given = {"component": "condenser fan motor", "temperature": "20 C", **TESTER}
    verdict = by_hand("winding-to-ground", measured="10 Mohm", **given)
    assert float(verdict.value or 0) == pytest.approx(2.5)
    assert (verdict.outcome, verdict.authority) == ("outside", "memory")
    assert "outside usual practice" in verdict.plain


def test_all_three_terminals_and_the_worst_counts() -> None:
    readings = [
        a_reading(ohm=v, points=f"{p} ground") for v, p in (("12", "common"), ("11.5", "run"), ("15.9", "start"))
    ]
    verdict = found(judged(*readings), "winding-to-ground")
    assert str(verdict.value) == "11.5"
    assert len(verdict.readings) == 3
    assert verdict.component == "compressor"
    assert any("never energize a grounded compressor" in c for c in verdict.cautions)


def test_absorption() -> None:
    """Carrier 17/19EX: the 60 s reading not below the 10 s reading."""
    assert outcome("insulation-absorption", ten_seconds="80 Mohm", sixty_seconds="80 Mohm") == "within"
    assert outcome("insulation-absorption", ten_seconds="80 Mohm", sixty_seconds="79 Mohm") == "outside"
