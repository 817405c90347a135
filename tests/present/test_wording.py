"""Words of amounts, moments and limits."""

from __future__ import annotations

from decimal import Decimal

import pytest

from journal.domain.reading import Alternative, Reading
from journal.domain.verdict import Authority, Outcome
from journal.present import wording
from journal.present.compose_frame import heard_by_text
from tests.builders import a_limit, a_reading


@pytest.mark.parametrize(
    ("reading", "text"),
    [
        (a_reading(volt="24.30"), "24.30 V"),
        (a_reading(percent="45"), "45%"),
        (a_reading(degF="-11"), "−11 °F"),
        (a_reading(unit="ohm", high="5"), "less than 5 Ω"),
        (a_reading(unit="degF", low="37", high="39", hedged=True), "about 37 to 39 °F"),
        (a_reading(kind="resistance", state="short"), "shorted"),
        (a_reading(state="present", volt="24"), "present (nominal 24 V)"),
        (a_reading(inch_Hg="18", reference="vacuum"), "18 inHg of vacuum"),
        (a_reading(micron_Hg="380", reference="vacuum"), "380 µmHg"),
        (a_reading(psi="98", reference="gauge"), "98 psi"),
    ],
)
def test_amounts(reading: Reading, text: str) -> None:
    assert wording.amount_text(reading) == text


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(0.0, "0:00.0"), (9.96, "0:10.0"), (64.3, "1:04.3"), (3599.99, "1:00:00.0"), (3725.5, "1:02:05.5")],
)
def test_clock(seconds: float, text: str) -> None:
    assert wording.clock(seconds) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ("31.5056", "31.5"),
        ("0.47169", "0.472"),
        ("253.00001", "253.0"),
        ("187.2", "187.2"),
        ("24.30", "24.30"),
        ("1200", "1200"),
    ],
)
def test_computed_values_have_the_digits_worth_reading(value: str, text: str) -> None:
    assert str(wording.rounded(Decimal(value))) == text


@pytest.mark.parametrize(
    ("outcome", "authority", "text"),
    [
        (Outcome.OUTSIDE, Authority.NAMEPLATE, "out of limits"),
        (Outcome.OUTSIDE, Authority.REGULATION, "out of limits"),
        (Outcome.OUTSIDE, Authority.PRACTICE, "outside usual practice"),
        (Outcome.OUTSIDE, Authority.MEMORY, "outside usual practice"),
        (Outcome.OUTSIDE, Authority.COMPANY, "outside the company's rule"),
        (Outcome.MARGINAL, Authority.PRACTICE, "marginal"),
        (Outcome.UNDETERMINED, Authority.PHYSICS, "can't tell yet"),
    ],
)
def test_only_those_who_may_condemn_do(outcome: Outcome, authority: Authority, text: str) -> None:
    assert wording.outcome_text(outcome, authority) == text


def test_limits_in_words() -> None:
    assert wording.limit_text(a_limit("187.2", "253")) == "187.2 to 253 V"
    assert wording.limit_text(a_limit("-6.00", "6.00", "percent")) == "−6 to 6%"
    assert wording.limit_text(a_limit("20000", None, "ohm")) == "at least 20000 Ω"
    assert wording.limit_text(a_limit("2", None, "megaohm")) == "at least 2 MΩ"
    assert wording.limit_text(a_limit(None, "10", "percent")) == "at most 10%"
    assert (
        wording.limit_text(a_limit("7", "13", "delta_degF", marginal_high="20")) == "7 to 13 °F, marginal at most 20 °F"
    )


def test_whose_word_a_limit_is() -> None:
    plate = a_limit("1", authority="nameplate", source="10 °F on the plate", applies_to="this machine")
    assert wording.limit_source(plate) == "by the nameplate: 10 °F on the plate; for this machine"
    twice = a_limit("1", authority="practice", source="common practice: 5 to 15 °F")
    assert wording.limit_source(twice) == "by common practice: 5 to 15 °F"


def test_alternatives_are_whole_values() -> None:
    reading = a_reading(psi="190")
    assert wording.alternative_text(Alternative(value=Decimal(119)), reading) == "119 psi"
    other = Alternative(unit="degF", kind=a_reading(degF="1").kind)
    assert wording.alternative_text(other, reading) == "190 °F temperature"


def test_durations() -> None:
    assert [wording.duration_text(Decimal(n)) for n in ("90", "1200", "7200")] == ["90 s", "20 min", "2 h"]


@pytest.mark.parametrize(
    ("pounds", "text"),
    [("7.375", "7 lb 6 oz"), ("0.5", "0 lb 8 oz"), ("19.6", ""), ("12", ""), ("8.3125", "8 lb 5 oz")],
)
def test_broken_pounds_as_scales_show_them(pounds: str, text: str) -> None:
    assert wording.in_ounces(Decimal(pounds), "pound") == text
    assert wording.in_ounces(Decimal(pounds), "kilogram") == ""


def test_one_listener_alone_is_a_warning() -> None:
    assert "no second one" in heard_by_text(("trade-english",))
    assert heard_by_text(("trade-english", "tiny-en")) == "2 listeners (trade-english, tiny-en)"
    assert heard_by_text(()) == ""
