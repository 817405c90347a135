"""Contacts and fuses: drop, open and closed, line side against load side."""

from __future__ import annotations

import pytest

from tests.builders import a_reading
from tests.judge.builders import by_hand, checks_of, found, judged, outcome


@pytest.mark.parametrize(
    ("volts", "expected"),
    [
        ("0.1", "within"),
        ("0.5", "within"),
        ("0.51", "marginal"),
        ("2.0", "marginal"),
        ("2.01", "outside"),
        ("20", "outside"),
    ],
)
def test_drop_of_a_power_contact(volts: str, expected: str) -> None:
    """Common practice: over 0.5 V is not within, over 2 V burnt; RSES teaches 3 % of line, which passes 150 W."""
    verdict = by_hand("contact-drop", component="contactor", measured=f"{volts} V", conditions="running")
    assert verdict.outcome == expected
    assert "replace" not in verdict.plain


def test_heat_in_the_contact() -> None:
    """2.0 V x 40 A = 80 W (arithmetic)."""
    assert "80 W" in by_hand("contact-drop", measured="2.0 V", load="40 A").formula


@pytest.mark.parametrize(("volts", "expected"), [("0.2", "within"), ("0.3", "marginal"), ("1.1", "outside")])
def test_control_contact(volts: str, expected: str) -> None:
    """Common practice: 0.1 to 0.2 V across a closed 24 V contact."""
    assert outcome("contact-drop", component="thermostat", measured=f"{volts} V", conditions="closed") == expected


def test_no_voltage_across_proves_nothing_by_itself() -> None:
    """Another device in series may be open (BCcampus, Basic Motor Control, ch. 48)."""
    assert outcome("contact-drop", measured="0 V") == "undetermined"
    assert outcome("contact-drop", measured="0.0 V", load="12 A") == "within"


def test_line_voltage_across_a_contact_that_should_be_closed() -> None:
    """120 V across the open contact with the rest closed (BCcampus, Basic Motor Control, ch. 48)."""
    verdict = by_hand("contact-drop", measured="120 V", conditions="closed, pulled in")
    assert (verdict.outcome, verdict.authority) == ("outside", "physics")
    assert outcome("contact-drop", measured="120 V", conditions="across") == "undetermined"


def test_a_supply_voltage_at_the_contactor_is_no_drop() -> None:
    assert "contact-drop" not in checks_of(judged(a_reading(volt="240", component="contactor", points="L1 L2")))
    assert "contact-drop" not in checks_of(judged(a_reading(volt="240", component="contactor")))


@pytest.mark.parametrize(
    ("read", "said", "expected"),
    [
        ("continuity", "closed", "within"),
        ("open", "closed", "outside"),
        ("open", "open", "within"),
        ("continuity", "open", "outside"),
        ("0.3 ohm", "closed", "within"),
        ("0.5 ohm", "closed", "within"),
        ("0.6 ohm", "closed", "marginal"),
        ("40 ohm", "closed", "outside"),
        ("continuity", "", "undetermined"),
        ("open", "", "undetermined"),
    ],
)
def test_open_and_closed(read: str, said: str, expected: str) -> None:
    """Closed 0.1 to 0.5 ohm with leads, open OL, a middle value bad (hvacspecialists.info switch procedure)."""
    given = {"conditions": said} if said else {}
    assert outcome("contact", component="low pressure control", measured=read, **given) == expected


def test_voltage_in_and_none_out() -> None:
    """What comes in does not go out: physics; whether it should is asked."""
    readings = [
        a_reading(volt="240", component="contactor", points=("line side",)),
        a_reading(state="absent", kind="voltage", component="contactor", points=("load side",)),
    ]
    assert found(judged(*readings), "line-to-load").outcome == "undetermined"
    closed = readings[1].with_(conditions=("closed",))
    assert found(judged(readings[0], closed), "line-to-load").outcome == "outside"


def test_an_open_disconnect_is_never_called_dead() -> None:
    readings = [
        a_reading(volt="240", component="disconnect", points=("line side",)),
        a_reading(state="absent", kind="voltage", component="disconnect", points=("load side",), conditions=("off",)),
    ]
    verdict = found(judged(*readings), "line-to-load")
    assert verdict.outcome == "within"
    assert "proves nothing dead" in verdict.plain


def test_fuse() -> None:
    blown = by_hand("fuse", across="238 V", line="240 V")
    assert (blown.outcome, blown.authority) == ("outside", "physics")
    assert outcome("fuse", across="0.0 V") == "undetermined"
    assert outcome("fuse", across="0.0 V", load="11 A") == "within"


@pytest.mark.parametrize(("read", "expected"), [("open", "outside"), ("continuity", "within"), ("0.2 ohm", "within")])
def test_a_fuse_has_continuity_or_has_blown(read: str, expected: str) -> None:
    """Physics: a fuse is one piece of wire; nobody asks whether it should be open now."""
    verdict = by_hand("contact", component="fuse", measured=read)
    assert (verdict.outcome, verdict.authority) == (expected, "physics")
    assert ("blown" in verdict.plain) == (expected == "outside")
