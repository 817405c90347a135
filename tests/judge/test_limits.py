"""Limits: what may be loaded, how closely they name their equipment, and what a settings file may change."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from journal.domain.verdict import Authority
from journal.domain.visit import Equipment
from journal.errors import SettingsUnusable
from journal.judge import CHECKS, LimitBook
from journal.judge.limits import MARKS, default_book, parse
from tests.builders import a_reading
from tests.judge.builders import by_hand, checks_of, found, judged

WHOLE = """\
[a.b]
unit = "volt"
low = 1
authority = "practice"
source = "common practice"
revision = "2026"
mark = "practice"
"""


def test_a_whole_limit_loads() -> None:
    assert parse(WHOLE, "here")["a.b"].limit.low == 1


@pytest.mark.parametrize("lost", ["unit", "authority", "source", "revision", "mark"])
def test_a_limit_without_its_source_cannot_be_loaded(lost: str) -> None:
    text = "".join(line for line in WHOLE.splitlines(keepends=True) if not line.startswith(lost))
    with pytest.raises(ValueError, match=lost):
        parse(text, "here")
    emptied = "".join(f'{lost} = ""\n' if line.startswith(lost) else line for line in WHOLE.splitlines(keepends=True))
    with pytest.raises(ValueError, match=lost):
        parse(emptied, "here")


@pytest.mark.parametrize("authority", ["nameplate", "maker", "standard"])
@pytest.mark.parametrize("mark", ["seen second-hand", "memory", "practice"])
def test_what_was_not_seen_cannot_condemn(authority: str, mark: str) -> None:
    text = WHOLE.replace('authority = "practice"', f'authority = "{authority}"').replace(
        'mark = "practice"', f'mark = "{mark}"'
    )
    with pytest.raises(ValueError, match="cannot speak"):
        parse(text, "here")


def test_unknown_fields_and_marks_are_errors() -> None:
    with pytest.raises(ValueError, match="unknown"):
        parse(WHOLE + "hihg = 3\n", "here")
    with pytest.raises(ValueError, match="none of"):
        parse(WHOLE.replace('mark = "practice"', 'mark = "surely"'), "here")


def test_every_limit_of_the_library() -> None:
    book = default_book()
    assert len(book.entries) > 140
    for entry in book.entries.values():
        assert entry.mark in MARKS
        assert entry.limit.source
        assert entry.limit.applies_to
        bounds = [
            b
            for b in (entry.limit.marginal_low, entry.limit.low, entry.limit.high, entry.limit.marginal_high)
            if b is not None
        ]
        assert bounds, entry.key
        assert bounds == sorted(bounds), entry.key


def test_every_limit_is_used_and_every_used_one_exists() -> None:
    book = default_book()
    used = {key for check in CHECKS.values() for key in check.limits}
    assert used <= set(book.entries)
    unused = {key for key in set(book.entries) - used if not key.endswith(".maryland")}
    assert unused == set()


def test_the_closest_limit_is_taken() -> None:
    book = default_book()
    assert book.best("superheat-compressor", None) is None
    cooler = Equipment("c", type="walk-in cooler", refrigerant="R-22")
    changed = Equipment("c", type="walk-in cooler", refrigerant="R-448A")
    assert (
        book.best("superheat-compressor", cooler) or book["dead-ground.any"]
    ).key == "superheat-compressor.refrigeration"
    assert (
        book.best("superheat-compressor", changed) or book["dead-ground.any"]
    ).key == "superheat-compressor.changeover"
    assert book.best("insulation", Equipment("x", maker="Copeland"), "compressor") is book["insulation.copeland"]


def test_settings_tighten_a_limit_and_the_verdict_says_so() -> None:
    book = LimitBook.default().with_settings({"supply-voltage": {"running": {"low": -5, "high": 5}}}, "shop.toml")
    verdict = by_hand("supply-voltage", book, measured="212 V", nameplate="230 V")
    assert verdict.outcome == "outside"
    assert verdict.authority is Authority.COMPANY
    assert "judged by a limit changed in shop.toml" in verdict.plain
    assert verdict.limits[0].changed_by == "shop.toml"
    assert "NEMA" in verdict.source
    assert by_hand("supply-voltage", measured="212 V", nameplate="230 V").outcome == "within"


def test_settings_widen_a_limit() -> None:
    book = LimitBook.default().with_settings({"product-temperature": {"cold": {"high": 45.5}}}, "shop.toml")
    verdict = by_hand("product-temperature", book, measured="45 F")
    assert verdict.outcome == "within"
    assert "shop.toml" in verdict.plain
    assert default_book()["product-temperature.cold"].limit.high == 41, "the library's own book stays as it was"


def test_a_changed_span_around_the_plates_subcooling_says_so() -> None:
    book = LimitBook.default().with_settings({"subcooling": {"nameplate-span": {"low": -1, "high": 1}}}, "shop.toml")
    given = {"pressure": "310 psig", "line": "90 F", "refrigerant": "R-410A", "target": "10 F"}
    assert by_hand("subcooling", None, **given).outcome == "within"
    verdict = by_hand("subcooling", book, **given)
    assert verdict.outcome == "outside"
    assert "shop.toml" in verdict.plain


@pytest.mark.parametrize(
    ("settings", "nearest"),
    [
        ({"suply-voltage": {"running": {"low": -5}}}, "supply-voltage"),
        ({"supply-voltage": {"runing": {"low": -5}}}, "supply-voltage.running"),
        ({"supply-voltage": {"running": {"lo": -5}}}, "supply-voltage.running.low"),
        ({"company": {"x": {"kind": "temperature", "unit": "degF", "hihg": 40}}}, "company.x.high"),
        ({"company": {"x": {"kind": "temperature", "unit": "degrF", "high": 40}}}, "degF"),
        ({"company": {"x": {"subject": "box-temprature", "unit": "degF", "high": 40}}}, "box-temperature"),
    ],
)
def test_unknown_keys_are_errors_with_the_nearest(settings: dict[str, object], nearest: str) -> None:
    with pytest.raises(SettingsUnusable) as caught:
        LimitBook.default().with_settings(settings, Path("shop.toml"))
    assert nearest in caught.value.sentence()
    assert caught.value.sentence().startswith("Settings shop.toml")


@pytest.mark.parametrize(
    "settings",
    [
        {"supply-voltage": {"running": {"low": "much"}}},
        {"supply-voltage": {"running": {"low": True}}},
        {"supply-voltage": {"running": {"low": float("nan")}}},
        {"supply-voltage": {"running": {"low": 20}}},
        {"supply-voltage": 5},
        {"supply-voltage": {"running": 5}},
        {"company": {"x": {"unit": "degF", "high": 40}}},
        {"company": {"x": {"kind": "temperature", "unit": "degF"}}},
        {"company": {"x": {"kind": "pressure", "unit": "degF", "high": 40}}},
        {"company": {"x": {"subject": "box-temperature", "unit": "psi", "high": 40}}},
        {"company": {"x": {"kind": "temperature", "unit": "degF", "high": 40, "match": 3}}},
        {"company": {"x": {"kind": "temperature", "unit": "degF", "high": 40, "component": 3}}},
    ],
)
def test_unusable_values(settings: dict[str, object]) -> None:
    with pytest.raises(SettingsUnusable):
        LimitBook.default().with_settings(settings, "shop.toml")


def test_a_company_limit_for_one_sort_of_machine() -> None:
    rule = {
        "subject": "box-temperature",
        "match": ["dairy"],
        "unit": "degF",
        "low": 33,
        "high": 36,
        "source": "shop handbook 4.2",
    }
    book = LimitBook.default().with_settings({"company": {"dairy": rule}}, "shop.toml")
    verdict = by_hand("box-temperature", book, measured="37 F", type="dairy case cooler")
    assert (verdict.outcome, verdict.authority, verdict.source) == ("outside", "company", "shop handbook 4.2")
    assert "the company's limits" in verdict.plain
    assert by_hand("box-temperature", book, measured="37 F", type="walk-in cooler").outcome == "within"


def test_a_company_rule_of_its_own() -> None:
    rule = {"kind": "temperature", "component": "liquid line", "unit": "degF", "high": 100}
    book = LimitBook.default().with_settings({"company": {"cool-liquid": rule}}, "shop.toml")
    hot = a_reading(degC="45", component="liquid line")
    verdict = found(judged(hot, a_reading(degF="120", component="discharge line"), limits=book), "company-rule")
    assert (verdict.outcome, verdict.authority) == ("outside", "company")
    assert verdict.value == Decimal(113)
    assert "company-rule" not in checks_of(judged(hot))
