"""Readings as CSV: what is written is what is read, and no cell is a formula."""

from __future__ import annotations

import csv
import io
from decimal import Decimal

import pytest

from journal.present.export import readings_csv
from journal.present.spreadsheet import BYTE_ORDER_MARK, COLUMNS
from tests.builders import a_reading, a_visit
from tests.present import visits


def rows(text: str) -> list[dict[str, str]]:
    assert text.startswith(BYTE_ORDER_MARK)
    return list(csv.DictReader(io.StringIO(text.removeprefix(BYTE_ORDER_MARK), newline=""), strict=True))


def test_one_row_each_with_every_column() -> None:
    visit = visits.full()
    table = rows(readings_csv(visit))
    assert [row["reading"] for row in table] == [reading.id for reading in visit.readings]
    assert tuple(table[0]) == COLUMNS
    first = table[0]
    assert (first["value"], first["unit"], first["ucum"], first["start_s"]) == ("24.30", "psi", "[psi]", "41.2")
    assert (first["points"], first["needs_listening"], first["about"]) == ("common to start", "yes", "yes")
    assert first["may_have_been"] == "50.90 Ω resistance"
    assert table[1]["state"] == "open"
    assert (table[2]["low"], table[2]["said"]) == ("2", "")


def test_numbers_come_back_digit_for_digit_and_negative_ones_stay_numbers() -> None:
    spoken = ["24.30", "-5", "0.35", "1200", "1E+3"]
    table = rows(readings_csv(a_visit(*(a_reading(degF=value) for value in spoken))))
    assert [row["value"] for row in table] == ["24.30", "-5", "0.35", "1200", "1000"]
    assert [Decimal(row["value"]) for row in table] == [Decimal(value) for value in spoken]


def test_lines_end_as_rfc_4180_says() -> None:
    text = readings_csv(visits.full())
    assert text.count("\r\n") == 1 + len(visits.full().readings)
    assert text.endswith("\r\n")
    assert "\n" not in text.replace("\r\n", "")


@pytest.mark.parametrize("said", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "  =1", "＝1", "\r=1"])
def test_text_that_looks_like_a_formula_is_disarmed(said: str) -> None:
    row = rows(readings_csv(a_visit(a_reading(volt="241", said=said))))[0]
    assert row["said"] == f"'{said}"


def test_hostile_text_stays_in_its_cell() -> None:
    table = rows(readings_csv(visits.hostile()))
    assert len(table) == 1
    assert table[0]["said"] == visits.HOSTILE
    assert table[0]["component"] == visits.HOSTILE


def test_an_empty_visit_has_its_header() -> None:
    assert readings_csv(visits.empty()) == BYTE_ORDER_MARK + ",".join(COLUMNS) + "\r\n"
