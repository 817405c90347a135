"""What people enter by hand is held to what can be meant; nothing of it is written down otherwise."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest

from journal.domain.kind import Kind
from journal.domain.reading import Reading
from journal.domain.visit import Equipment, Field, Note, Visit
from journal.errors import BadInput
from journal.keep import Store, current, typed

NOW = dt.datetime(2026, 11, 25, 12, tzinfo=dt.UTC)


@pytest.mark.parametrize(
    ("text", "number"),
    [("24.30", "24.30"), (" 0 ", "0"), ("-11", "-11"), ("\N{MINUS SIGN}11", "-11"), (".7", "0.7"), ("2e3", "2E+3"),
     ("\N{ARABIC-INDIC DIGIT TWO}\N{ARABIC-INDIC DIGIT FOUR}", "24")],
)  # fmt: skip
def test_a_number_keeps_its_digits(text: str, number: str) -> None:
    assert str(typed.number("value", text)) == number


@pytest.mark.parametrize(
    "text",
    ["1e999999", "1e-999999", "-1e99", "1e12", "9999999999999", "NaN", "sNaN", "inf", "-Infinity", "", " ", "1_000",
     "1,5", "0x10", "½", "二十", "12 ohms", "--3", "9" * 10_000],
)  # fmt: skip
def test_what_no_meter_shows_is_one_short_sentence(text: str) -> None:
    with pytest.raises(BadInput) as refused:
        typed.number("value", text)
    sentence = str(refused.value)
    assert "\n" not in sentence
    assert len(sentence) < 160


@pytest.mark.parametrize("text", ["a\nb", "a\x00b", "a\x1b[31mb", "\N{RIGHT-TO-LEFT OVERRIDE}ba", "\ud800", "x" * 301])
def test_a_line_that_is_none(text: str) -> None:
    with pytest.raises(BadInput):
        typed.line("The title", text)


@pytest.mark.parametrize("text", ["Šárka Dvořák", "冷凍庫", "مخبز", "O'Brien & Sons <2>", "x" * 300, "😀"])
def test_other_scripts_are_lines_like_any_other(text: str) -> None:
    assert typed.line("The site", f" {text} ") == text


@pytest.mark.parametrize(
    ("text", "moment"),
    [("2026-03-02T08:15+00:00", "2026-03-02T08:15:00+00:00"), ("2026-03-02T08:15-05:00", "2026-03-02T13:15:00+00:00"),
     ("1970-01-01T00:00+00:00", "1970-01-01T00:00:00+00:00"), ("2026-11-26T11:00+00:00", "2026-11-26T11:00:00+00:00")],
)  # fmt: skip
def test_moments_become_utc(text: str, moment: str) -> None:
    assert typed.moment(text, NOW) == moment


@pytest.mark.parametrize(
    ("text", "why"),
    [("1969-12-31T23:00+00:00", "before 1970"), ("0001-01-01T00:00", "before 1970|no date"),
     ("2026-11-27T12:00+00:00", "still to come"), ("9999-12-31T23:59-12:00", "still to come|no date"),
     ("yesterday", "no date"), ("", "no date"), ("2026-13-01", "no date"), ("08:10", "no date"),
     ("2026-02-30T08:00", "no date"), ("2" * 10_000, "no date")],
)  # fmt: skip
def test_moments_that_cannot_be(text: str, why: str) -> None:
    with pytest.raises(BadInput, match=why):
        typed.moment(text, NOW)


@pytest.mark.parametrize(
    ("kind", "unit", "value"),
    [(Kind.CAPACITANCE, "microfarad", "-5"), (Kind.RESISTANCE, "ohm", "-0.1"), (Kind.MASS, "pound", "-2"),
     (Kind.FREQUENCY, "hertz", "-60"), (Kind.DURATION, "second", "-1"), (Kind.TEMPERATURE, "degF", "-459.68"),
     (Kind.TEMPERATURE, "degC", "-273.16"), (Kind.SATURATION_TEMPERATURE, "degK", "-1")],
)  # fmt: skip
def test_readings_that_physics_forbids(kind: Kind, unit: str, value: str) -> None:
    with pytest.raises(BadInput):
        typed.possible(Reading(kind, value=Decimal(value), unit=unit))


@pytest.mark.parametrize(
    ("kind", "unit", "value"),
    [(Kind.TEMPERATURE, "degF", "-40"), (Kind.VOLTAGE, "volt", "-24"), (Kind.PRESSURE, "inch_Hg", "-18"),
     (Kind.SUPERHEAT, "delta_degF", "-2"), (Kind.CURRENT, "microampere", "-3"), (Kind.CAPACITANCE, "microfarad", "0")],
)  # fmt: skip
def test_readings_below_nothing_that_meters_do_show(kind: Kind, unit: str, value: str) -> None:
    typed.possible(Reading(kind, value=Decimal(value), unit=unit))


class TestAtTheDoorsOfTheStore:
    @pytest.mark.parametrize("value", ["1e999999", "NaN", "-1e400", "infinity", "9" * 10_000])
    def test_a_correction_of_a_value(self, store: Store, visit: Visit, value: str) -> None:
        head = store.head()
        with pytest.raises(BadInput):
            store.correct(visit.id, visit.readings[0].id, {"value": value}, by="Ann", why="heard again")
        assert store.head() == head

    def test_a_correction_to_less_than_nothing(self, store: Store, visit: Visit) -> None:
        with pytest.raises(BadInput, match="never below nothing"):
            store.correct(
                visit.id,
                visit.readings[0].id,
                {"kind": "resistance", "unit": "ohm", "value": "-3.4"},
                by="Ann",
                why="heard again",
            )

    def test_when_it_began_is_a_moment(self, store: Store, visit: Visit) -> None:
        for wrong in ("soon", "1815-06-18T11:00", "2999-01-01T00:00"):
            with pytest.raises(BadInput):
                store.correct(visit.id, visit.id, {"started": wrong}, by="Ann", why="heard again")
        right = store.correct(visit.id, visit.id, {"started": "2025-03-02T08:15-05:00"}, by="Ann", why="heard again")
        assert current(right).started == "2025-03-02T13:15:00+00:00"

    @pytest.mark.parametrize(
        "changes",
        [{"title": "x" * 10_000}, {"site": "a\nb"}, {"technician": "\x1b[2J"}, {"equipment/X/serial": "Q\x00"}],
    )
    def test_names(self, store: Store, visit: Visit, changes: dict[str, str]) -> None:
        changes = {field.replace("X", visit.equipment[0].name): text for field, text in changes.items()}
        with pytest.raises(BadInput):
            store.correct(visit.id, visit.id, changes, by="Ann", why="heard again")

    @pytest.mark.parametrize(("by", "why"), [("x" * 10_000, "y"), ("A\nB", "y"), ("Ann", "z" * 10_000)])
    def test_who_and_why(self, store: Store, visit: Visit, by: str, why: str) -> None:
        with pytest.raises(BadInput):
            store.correct(visit.id, visit.readings[0].id, {"value": "1"}, by=by, why=why)
        with pytest.raises(BadInput):
            store.add_reading(visit.id, replace(visit.readings[0], id=""), by=by, why=why)

    @pytest.mark.parametrize(
        "more",
        [Visit("", "", fields=(Field("work order", "x" * 10_000),)), Visit("", "", fields=(Field("a\nb", "1"),)),
         Visit("", "", notes=(Note("complaint", "x" * 3_000),)), Visit("", "", equipment=(Equipment("x" * 400),)),
         Visit("", "", equipment=(Equipment("box", charge=Decimal(-3), charge_unit="pound"),))],
    )  # fmt: skip
    def test_what_is_filled_in(self, store: Store, visit: Visit, more: Visit) -> None:
        head = store.head()
        with pytest.raises(BadInput):
            store.extend(visit.id, more, by="Ann")
        assert store.head() == head

    def test_days_of_a_search(self, store: Store, visit: Visit) -> None:
        for wrong in ("soon", "2026-02-30", "", "9" * 10_000):
            with pytest.raises(BadInput, match="no day"):
                store.visits(since=wrong)
        assert store.visits(since="2020-01-01", until="2100-01-01T00:00:00Z")

    @pytest.mark.parametrize("text", ["'); DROP TABLE visits;--", "x" * 10_000, "NEAR(", "a\x00b", "冷", 'a"b'])
    def test_any_words_are_only_words_in_a_search(self, store: Store, visit: Visit, text: str) -> None:
        assert store.visits(text=text) == []

    @pytest.mark.parametrize("text", ['"', "-", "*", "\x00", " "])
    def test_a_search_without_words(self, store: Store, visit: Visit, text: str) -> None:
        with pytest.raises(BadInput, match="look for"):
            store.visits(text=text)
