"""Currents: running, locked rotor, unbalance, lost phase, fans, and the unit's plate."""

from __future__ import annotations

from decimal import Decimal

import pytest

from tests.builders import a_reading
from tests.judge.builders import by_hand, checks_of, found, judged, outcome


def plates(rated: str = "14.1", locked: str = "73") -> list[object]:
    return [
        a_reading(ampere=rated, role="nameplate", component="compressor", conditions=("rated load",)),
        a_reading(ampere=locked, role="nameplate", component="compressor", conditions=("locked rotor",)),
    ]


@pytest.mark.parametrize(
    ("amps", "expected"),
    [
        ("14.1", "within"),
        ("14.0", "within"),
        ("14.2", "marginal"),
        ("19.9", "marginal"),
        ("20.0", "marginal"),
        ("20.1", "outside"),
    ],
)
def test_running_against_rated_load_and_maximum(amps: str, expected: str) -> None:
    """Over rated load a note, over the maximum continuous current outside (common practice; the plate's own figure)."""
    verdict = by_hand("running-current", measured=f"{amps} A", rated="14.1 A", maximum="20 A")
    assert verdict.outcome == expected
    if expected == "outside":
        assert verdict.authority == "nameplate"


def test_over_rated_load_alone_is_only_a_note() -> None:
    assert outcome("running-current", measured="40 A", rated="14.1 A") == "marginal"


def test_danfoss_figures() -> None:
    """Danfoss FRCC.PC.007 p. 16, SH090: LRA 203 A, maximum operating 38 A, MCC 43 A; 190 A for 3 s is 0.936 of LRA."""
    assert outcome("running-current", measured="38.0 A", rated="27.56 A", maximum="43 A") == "marginal"
    locked = by_hand("locked-rotor", measured="190 A", locked_rotor="203 A")
    assert locked.outcome == "outside"
    assert float(locked.value or 0) == pytest.approx(93.6, abs=0.01)


@pytest.mark.parametrize(("amps", "expected"), [("70", "within"), ("69.9", "within"), ("70.1", "outside")])
def test_the_edge_of_locked_rotor(amps: str, expected: str) -> None:
    """Common practice: 0.7 of locked rotor."""
    verdict = by_hand("locked-rotor", measured=f"{amps} A", locked_rotor="100 A", conditions="locked")
    assert verdict.outcome == expected


def test_locked_rotor_does_not_condemn_the_compressor() -> None:
    verdict = by_hand("locked-rotor", measured="95 A", locked_rotor="100 A")
    for part in ("voltage at the contactor", "start relay", "equalized pressures"):
        assert part in verdict.plain
    assert "replace" not in verdict.plain


def test_an_inrush_peak_is_no_locked_rotor() -> None:
    peak = a_reading(ampere="68", component="compressor", conditions=("inrush",))
    assert found(judged(*plates(), peak), "locked-rotor").outcome == "undetermined"
    stays = a_reading(ampere="68", component="compressor", conditions=("starting",), held_for=Decimal(3))
    assert found(judged(*plates(), stays), "locked-rotor").outcome == "outside"


def test_two_plate_figures_tell_themselves_apart() -> None:
    """11.2 and 61 A on one compressor without words: the one five times the other is locked rotor."""
    bare = [a_reading(ampere=a, role="nameplate", component="compressor") for a in ("11.2", "61")]
    judgement = judged(*bare, a_reading(ampere="10.0", component="compressor"))
    assert str(found(judgement, "running-current").limits[0].high) == "11.2"
    assert "locked-rotor" not in checks_of(judgement)


def test_amps_of_a_fan_are_not_judged_by_the_compressors_plate() -> None:
    judgement = judged(*plates(), a_reading(ampere="1.2", component="condenser fan motor"))
    assert "running-current" not in checks_of(judgement)
    assert found(judgement, "motor-current").missing == ("the full-load current on the motor's plate",)


@pytest.mark.parametrize(
    ("amps", "expected"), [("1.4", "within"), ("1.5", "marginal"), ("1.54", "marginal"), ("1.55", "outside")]
)
def test_fan_motor(amps: str, expected: str) -> None:
    """Common practice: 1.1 times full load."""
    verdict = by_hand("motor-current", component="condenser fan motor", measured=f"{amps} A", rated="1.4 A")
    assert verdict.outcome == expected
    assert "replace" not in verdict.plain


@pytest.mark.parametrize(
    ("amps", "percent", "expected"),
    [
        (("27", "30", "33"), 10.0, "within"),
        (("30", "30", "36"), 12.5, "outside"),
        (("27", "30", "33.1"), 10.2, "outside"),
    ],
)
def test_current_unbalance(amps: tuple[str, str, str], percent: float, expected: str) -> None:
    """Carlyle 06E specification p. 113: 10 % at most; the same figure in an RSES excerpt."""
    l1, l2, l3 = (f"{a} A" for a in amps)
    verdict = by_hand("current-unbalance", l1=l1, l2=l2, l3=l3, maker="Carlyle")
    assert float(verdict.value or 0) == pytest.approx(percent, abs=0.05)
    assert (verdict.outcome, verdict.authority) == (expected, "maker")
    assert by_hand("current-unbalance", l1=l1, l2=l2, l3=l3).authority == "practice"


def test_a_lost_phase_is_damage_and_no_unbalance() -> None:
    """One leg nothing, the others about 1.73 times their share (three-phase arithmetic)."""
    legs = [
        a_reading(ampere=a, points=p, component="compressor")
        for a, p in (("0.2", "L1"), ("21.8", "L2"), ("21.5", "L3"))
    ]
    judgement = judged(*plates("12.5", "91"), *legs)
    assert found(judgement, "lost-phase").outcome == "outside"
    assert found(judgement, "lost-phase").authority == "physics"
    assert "current-unbalance" not in checks_of(judgement)


def test_legs_in_a_row_without_a_component_are_the_compressors() -> None:
    rated = a_reading(ampere="8.6", role="nameplate", component="compressor")
    legs = [a_reading(ampere=a, at=30.0) for a in ("7.1", "7.2", "7.3")]
    judgement = judged(rated, *legs)
    assert str(found(judgement, "running-current").value) == "7.3"
    assert found(judgement, "current-unbalance").outcome == "within"
    assert "running-current" not in checks_of(judged(rated, legs[0]))


def test_no_current_in_the_start_winding() -> None:
    verdict = by_hand("start-winding-current", start="0.1 A", main="45 A", rated="12 A")
    assert (verdict.outcome, verdict.authority) == ("outside", "physics")


@pytest.mark.parametrize(
    ("total", "expected", "result"),
    [("3.6", "3.6", "within"), ("2.4", "3.6", "outside"), ("3.0", None, "marginal"), ("2.4", None, "undetermined")],
)
def test_fans_by_current(total: str, expected: str | None, result: str) -> None:
    """Three like fans of 1.2 A: arithmetic; the judgement is common practice."""
    given = {"measured": f"{total} A", "each": "1.2 A"} | ({"expected": f"{expected} A"} if expected else {})
    assert outcome("fans-by-current", **given) == result


@pytest.mark.parametrize(
    ("fuse", "expected"), [("90", "within"), ("91", "outside"), ("60", "outside"), ("68.1", "within")]
)
def test_installed_breaker(fuse: str, expected: str) -> None:
    """Plate: 90 A at most, 68.1 A of ampacity (Daikin UAA manual p. 32)."""
    assert outcome("overcurrent-device", installed=f"{fuse} A", plate="90 A", ampacity="68.1 A") == expected


def test_plate_sums() -> None:
    """RLA 27.6 + 27.6, two fans of 3.0 A: MCA 68.1 A, MOP 95.7, fuse 90 A (NEC 440, Daikin UAA manual p. 32)."""
    verdict = by_hand(
        "plate-sums", compressor="27.6 A", second_compressor="27.6 A", fans="6 A", plate_ampacity="68.1 A"
    )
    assert verdict.outcome == "within"
    assert "68.1 A" in verdict.formula
    assert "95.7 A" in verdict.formula
    assert "at most 90 A" in verdict.formula
    assert (
        outcome("plate-sums", compressor="27.6 A", second_compressor="27.6 A", fans="6 A", plate_ampacity="68.0 A")
        == "outside"
    )


@pytest.mark.parametrize(("maximum", "expected"), [("43", "within"), ("43.1", "marginal")])
def test_maximum_continuous_against_rated_load(maximum: str, expected: str) -> None:
    """Copeland AE9-1250 R9: 156 % at most, so 27.564 A goes with 43 A; other makers divide by 1.40 or 1.44."""
    assert outcome("plate-maximum", maximum=f"{maximum} A", rated="27.5642 A") == expected
