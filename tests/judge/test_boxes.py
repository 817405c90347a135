"""Boxes, products, displays."""

from __future__ import annotations

import pytest

from journal.domain.visit import Equipment
from tests.builders import a_reading
from tests.judge.builders import by_hand, checks_of, judged, outcome


@pytest.mark.parametrize(
    ("use", "degrees", "expected"),
    [
        ("walk-in cooler", "34", "within"),
        ("walk-in cooler", "38", "within"),
        ("walk-in cooler", "38.1", "marginal"),
        ("walk-in cooler", "41.1", "outside"),
        ("walk-in cooler", "31.9", "outside"),
        ("walk-in freezer", "0", "within"),
        ("walk-in freezer", "-10", "within"),
        ("walk-in freezer", "0.1", "marginal"),
        ("walk-in freezer", "26", "outside"),
        ("ice cream freezer", "-15", "within"),
        ("ice cream freezer", "-5", "marginal"),
        ("produce cooler", "40", "within"),
    ],
)
def test_temperature_against_use(use: str, degrees: str, expected: str) -> None:
    """34 to 38 cooler, 0 to -10 freezer, -10 to -20 ice cream, 36 to 40 produce (common practice)."""
    verdict = by_hand("box-temperature", measured=f"{degrees} F", type=use)
    assert verdict.outcome == expected
    if expected == "outside":
        assert "outside usual practice" in verdict.plain


@pytest.mark.parametrize("use", ["beer cooler", "floral cooler", "server room"])
def test_silent_where_no_usual_temperature_is_known(use: str) -> None:
    assert outcome("box-temperature", measured="50 F", type=use) == "undetermined"


@pytest.mark.parametrize("said", ["after defrost", "door open", "pull-down"])
def test_unsettled_boxes_are_not_judged(said: str) -> None:
    assert outcome("box-temperature", measured="50 F", type="walk-in cooler", conditions=said) == "undetermined"


@pytest.mark.parametrize(
    ("degrees", "expected"), [("41.0", "within"), ("41.1", "outside"), ("42.5", "outside"), ("38", "within")]
)
def test_food(degrees: str, expected: str) -> None:
    """FDA Food Code 3-501.16(A)(2): 41 degF or below; 41.0 passes, 42.5 does not."""
    verdict = by_hand("product-temperature", measured=f"{degrees} F")
    assert (verdict.outcome, verdict.authority) == (expected, "regulation")
    assert "replace" not in verdict.plain


def test_food_limit_in_celsius() -> None:
    """The Code's own 5 degC is 41 degF."""
    assert outcome("product-temperature", measured="5 C") == "within"
    assert outcome("product-temperature", measured="5.1 C") == "outside"


def test_the_limit_is_for_food_and_not_for_air() -> None:
    cooler = Equipment("u", type="walk-in cooler")
    judgement = judged(a_reading(degF="42", component="box"), equipment=[cooler])
    assert "product-temperature" not in checks_of(judgement)


def test_hot_and_frozen_food() -> None:
    """FDA Food Code 3-501.16(A)(1): 135 degF; 3-501.11 gives no figure for frozen, 32 is water's."""
    assert outcome("product-temperature", measured="135 F", type="hot holding") == "within"
    assert outcome("product-temperature", measured="134 F", type="hot holding") == "outside"
    assert by_hand("product-temperature", measured="33 F", type="walk-in freezer").authority == "practice"


@pytest.mark.parametrize(
    ("box", "expected"), [("38", "within"), ("38.1", "marginal"), ("40.1", "outside"), ("29.9", "outside")]
)
def test_against_the_setting(box: str, expected: str) -> None:
    """Within about 3 degF of the thermostat (common practice)."""
    assert outcome("box-against-setting", measured=f"{box} F", setting="35 F") == expected


def test_display_against_probe() -> None:
    """2 degF (common practice)."""
    assert outcome("display-against-probe", display="36 F", probe="38 F") == "within"
    assert outcome("display-against-probe", display="36 F", probe="41 F") == "outside"


@pytest.mark.parametrize(
    ("run", "off", "expected"),
    [("6", "4", "within"), ("3", "1.5", "outside"), ("2.5", None, "marginal"), ("1.5", None, "outside")],
)
def test_short_cycling(run: str, off: str | None, expected: str) -> None:
    """Three minutes a run, eight starts an hour, twelve too many (common practice)."""
    given = {"run": f"{run} min"} | ({"off": f"{off} min"} if off else {})
    assert outcome("short-cycling", **given) == expected
