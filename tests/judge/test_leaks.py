"""Leak rates, thresholds by rule and date, balances, records."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from journal.judge import records
from journal.judge.leaks import pounds_and_ounces
from tests.builders import a_reading
from tests.judge.builders import by_hand, found, judged, outcome

SHOP = {"refrigerant": "R-404A", "sector": "commercial refrigeration", "date": "2026-06-01"}


@pytest.mark.parametrize(
    ("added", "charge", "days", "rate"),
    [("12", "150", "73", 40.0), ("12", "150", "400", 8.0), ("30", "200", "120", 45.625), ("3", "50", "60", 36.5)],
)
def test_annualizing(added: str, charge: str, days: str, rate: float) -> None:
    """40 CFR 82.152 as worked by open-exam-prep.com chapter 6: 12 lb of 150 after 73 days is 40 %."""
    verdict = by_hand("leak-rate-annualized", added=f"{added} lb", charge=f"{charge} lb", days=f"{days} days", **SHOP)
    assert float(verdict.value or 0) == pytest.approx(rate, abs=0.01)
    assert verdict.outcome == ("outside" if rate > 20 else "within")
    assert verdict.authority == "regulation"
    assert "40 CFR 84.106" in verdict.plain
    assert "regulation in force at the place" in verdict.plain


def test_rolling() -> None:
    """10 + 5 + 12 lb of 150 in 365 days is 18 %."""
    verdict = by_hand("leak-rate-rolling", added="12 lb", second="5 lb", third="10 lb", charge="150 lb", **SHOP)
    assert float(verdict.value or 0) == pytest.approx(18.0)
    assert verdict.outcome == "within"


@pytest.mark.parametrize(
    ("sector", "added", "expected"),
    [
        ("industrial process", "45", "within"),
        ("industrial process", "45.1", "outside"),
        ("commercial refrigeration", "30", "within"),
        ("commercial refrigeration", "30.1", "outside"),
        ("comfort cooling", "15", "within"),
        ("comfort cooling", "15.1", "outside"),
    ],
)
def test_thresholds(sector: str, added: str, expected: str) -> None:
    """30, 20 and 10 % (40 CFR 82.157(c)(2) and 84.106); exactly on the threshold is not above it."""
    given = {**SHOP, "sector": sector}
    assert outcome("leak-rate-rolling", added=f"{added} lb", charge="150 lb", **given) == expected


@pytest.mark.parametrize(
    ("refrigerant", "charge", "day", "rule"),
    [
        ("R-404A", 15, (2026, 1, 1), "40 CFR 84.106"),
        ("R-404A", 15, (2025, 12, 31), None),
        ("R-404A", 14, (2026, 1, 1), None),
        ("R-22", 50, (2025, 6, 1), "40 CFR 82.157(c)(2)"),
        ("R-22", 49, (2026, 6, 1), None),
        ("R-744", 500, (2026, 6, 1), None),
        ("R-1234yf", 500, (2026, 6, 1), None),
        ("R-409A", 60, (2026, 6, 1), "40 CFR 82.157(c)(2)"),
    ],
)
def test_which_rule_holds(refrigerant: str, charge: int, day: tuple[int, int, int], rule: str | None) -> None:
    """82.157 since 2020-04-10 for ozone-depleting refrigerants of 50 lb; 84.106 for HFCs of 15 lb from 2026-01-01."""
    found_rule = records.leak_rule(refrigerant, Decimal(charge), dt.date(*day))
    assert (found_rule.name if found_rule else None) == rule


def test_without_a_date_or_sector_it_asks() -> None:
    given = {"added": "12 lb", "charge": "150 lb", "days": "73 days", "refrigerant": "R-404A"}
    assert by_hand("leak-rate-annualized", **given).missing == ("the date of the addition",)
    assert "sector" in by_hand("leak-rate-annualized", date="2026-06-01", **given).missing[0]
    small = by_hand("leak-rate-annualized", added="3 lb", charge="10 lb", days="60 days", **SHOP)
    assert small.outcome == "undetermined"
    assert "no federal one" in small.missing[0]


def test_report_above_125_per_cent() -> None:
    """125 % of the full charge in a calendar year (hvacinsider.com 2024-10-01, second-hand)."""
    assert outcome("leak-report", added="187.5 lb", charge="150 lb") == "within"
    assert outcome("leak-report", added="187.6 lb", charge="150 lb") == "outside"


def test_the_cylinder_on_the_scale() -> None:
    """27 lb 11 oz less 19 lb 6 oz is 8 lb 5 oz."""
    verdict = by_hand("refrigerant-balance", before="27 lb 11 oz", after="19 lb 6 oz")
    assert str(verdict.value) == "8.3125"
    assert "8 lb 5 oz of refrigerant were added" in verdict.plain
    back = by_hand("refrigerant-balance", before="19 lb 6 oz", after="27 lb 11 oz")
    assert "were recovered" in back.plain
    assert outcome("refrigerant-balance", before="27 lb", after="10 lb", charge="7 lb 6 oz") == "marginal"
    readings = [a_reading(pound=p, component="cylinder") for p in ("27.6875", "19.375")]
    assert str(found(judged(*readings), "refrigerant-balance").value) == "8.3125"


@pytest.mark.parametrize(("pounds", "said"), [("3.5", "3 lb 8 oz"), ("0.99999", "1 lb 0 oz"), ("-1.5", "-1 lb 8 oz")])
def test_pounds_and_ounces(pounds: str, said: str) -> None:
    assert pounds_and_ounces(Decimal(pounds)) == said


def test_charge_against_the_plate() -> None:
    """Within 5 % (common practice)."""
    assert outcome("charge-against-plate", measured="7 lb 6 oz", charge="7 lb 6 oz") == "within"
    assert outcome("charge-against-plate", measured="6 lb 6 oz", charge="7 lb 6 oz") == "outside"


@pytest.mark.parametrize(
    ("grams", "expected"), [("150", "within"), ("300", "within"), ("301", "marginal"), ("501", "outside")]
)
def test_flammable_charges(grams: str, expected: str) -> None:
    """copeland.com on UL 60335-2-89 (2021): 300 g closed, 500 g open."""
    assert outcome("flammable-charge", charge=f"{grams} g", refrigerant="R-290") == expected


def test_what_a_record_must_hold() -> None:
    """40 CFR 82.157(b), (l)(2) (list from memory)."""
    full = {field["name"]: "something" for field in records.record_fields()}
    assert records.missing_from_record(full) == ()
    assert len(records.missing_from_record({})) == len(full) == 9
    assert records.missing_from_record({**full, "technician": "  "}) == ("the name of the person who did it",)
    for field in records.record_fields():
        assert field["source"]
        assert field["mark"] in ("seen", "seen second-hand", "memory")
