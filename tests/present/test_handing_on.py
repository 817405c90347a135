"""What leaves the journal: PDF, customer's copies in every form, the store's digest on each of them."""

from __future__ import annotations

import csv
import io
import re
import sys
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import jsonschema
import pytest

from journal.domain.visit import Diagnosis, Visit
from journal.errors import BadInput
from journal.present.customer import customers_visit
from journal.present.export import (
    handed_on,
    json_text,
    json_value,
    readings_csv,
    visit_from_json,
    visit_json,
    visit_schema,
    visit_vtt,
)
from journal.present.pdf import visit_pdf
from journal.present.record import visit_html
from journal.present.refrigerant import movements
from journal.present.refrigerant_log import COLUMNS, log_csv, log_json, totals_of
from tests.builders import a_correction, a_limit, a_note, a_reading, a_recording, a_verdict, a_visit, an_utterance
from tests.present import visits
from tests.present.test_completeness import charged

HEAD = "0123456789abcdef" * 4
typst = pytest.importorskip("typst", reason="needs the extra [pdf]")


def boxes(pdf: bytes) -> set[tuple[int, int]]:
    """Return the sizes of a PDF's pages in points."""
    found = re.findall(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]", pdf)
    return {(round(float(width)), round(float(height))) for width, height in found}


@pytest.mark.parametrize("make", visits.ALL.values(), ids=visits.ALL)
def test_every_visit_becomes_a_pdf(make: Callable[[], Visit]) -> None:
    for audience in ("office", "customer"):
        pdf = visit_pdf(make(), audience=audience, head=HEAD)  # type: ignore[arg-type]
        assert pdf.startswith(b"%PDF-")
        assert pdf.rstrip().endswith(b"%%EOF")


def test_paper_is_a4_or_letter() -> None:
    """ISO 216 A4 is 210 x 297 mm (595 x 842 points), ANSI Letter 8.5 x 11 in (612 x 792)."""
    assert boxes(visit_pdf(visits.full(), paper="a4")) == {(595, 842)}
    assert boxes(visit_pdf(visits.full(), paper="letter")) == {(612, 792)}


def test_a_pdf_of_the_same_visit_is_the_same_file() -> None:
    visit = visits.full()
    assert visit_pdf(visit, head=HEAD) == visit_pdf(visit, head=HEAD)


def test_without_typst_one_sentence_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "typst", None)
    with pytest.raises(BadInput, match=r"visit-journal\[pdf\]"):
        visit_pdf(visits.empty())


def test_the_digest_stands_on_every_copy() -> None:
    visit = a_visit(a_recording(), an_utterance("two forty one"), a_reading(volt="241"))
    assert HEAD in visit_html(visit, head=HEAD)
    assert HEAD in visit_vtt(visit, head=HEAD)
    assert handed_on(visit, head=HEAD)["head"] == HEAD
    (row,) = list(csv.DictReader(io.StringIO(readings_csv(visit, HEAD).removeprefix("\ufeff"))))
    assert row["store_digest"] == HEAD


def test_a_copys_document_is_valid_and_reads_back_as_the_visit() -> None:
    visit = visits.full()
    document = json_value(json_text(handed_on(visit, head=HEAD)))
    validator = jsonschema.Draft202012Validator(visit_schema())
    assert list(validator.iter_errors(plain(document))) == []
    assert document["missing"]["items"]
    assert visit_from_json(document) == visit


def plain(value: Any) -> Any:
    """Decimals as floats: the schema library knows no others."""
    if isinstance(value, Decimal):
        return float(value)
    if isinstance(value, dict):
        return {key: plain(part) for key, part in value.items()}
    return [plain(part) for part in value] if isinstance(value, list) else value


class TestCustomersDocument:
    def visit(self) -> Visit:
        overruled = a_verdict("outside", title="It is gone")
        return a_visit(
            a_recording(),
            an_utterance("the manager is a fool"),
            a_reading(volt="15", said="fool fifteen", doubt="fifteen or fifty", maybe=("50",)),
            a_reading(volt="9", withdrawn=True, said="nine fool"),
            overruled,
            a_verdict("within", formula="fool formula"),
            Diagnosis("fool cause", "because", "confirm", id="d1"),
            a_note("internal", "fool note"),
            a_note("follow-up", "back thursday"),
            a_correction(overruled.id, field="overruled", before="x", after="y", why="fool why"),
        )

    def test_holds_nothing_internal(self) -> None:
        text = json_text(visit_json(customers_visit(self.visit())))
        for hidden in ("fool", "fifteen or fifty", "It is gone"):
            assert hidden not in text
        for kept in ("back thursday", "still to be confirmed"):
            assert kept in text
        assert "fool" not in readings_csv(customers_visit(self.visit()))

    def test_is_still_a_visit(self) -> None:
        left = customers_visit(self.visit())
        assert visit_from_json(json_value(json_text(visit_json(left)))) == left
        assert len(left.readings) == 1

    def test_holds_what_was_released(self) -> None:
        released = customers_visit(self.visit(), ("transcript",))
        assert [utterance.text for utterance in released.utterances] == ["the manager is a fool"]
        assert "fool note" not in json_text(visit_json(released))
        html = visit_html(self.visit(), audience="customer", released=("transcript",))
        assert "is a fool" in html
        assert "fool note" not in html
        assert "fool note" in visit_html(self.visit(), audience="customer", released=("notes",))

    def test_sound_comes_only_when_released(self) -> None:
        sound = b"OggS" + bytes(20)
        with pytest.raises(BadInput, match="release sound"):
            visit_html(self.visit(), audience="customer", sound=sound)
        assert "data:audio/ogg" in visit_html(self.visit(), audience="customer", sound=sound, released=("sound",))
        with pytest.raises(BadInput, match="cannot be released"):
            visit_html(self.visit(), audience="customer", released=("everything",))


def test_a_ratio_is_read_as_a_ratio() -> None:
    verdict = a_verdict(
        "within",
        check="compression-ratio",
        value="890",
        unit="percent",
        limits=(a_limit("500", "1000", unit="percent"),),
    )
    page = visit_html(a_visit(verdict))
    assert "8.9 : 1" in page
    assert "5 to 10 : 1" in page
    assert "890%" not in page
    other = a_verdict("within", value="890", unit="percent", limits=(a_limit("500", "1000", unit="percent"),))
    assert "890%" in visit_html(a_visit(other))


class TestRefrigerantLog:
    def test_rows_hold_what_the_rules_ask_and_what_is_missing(self) -> None:
        log = movements(charged("R-404A", "150", "2026-03-01"))
        rows = list(csv.DictReader(io.StringIO(log_csv(log, HEAD).removeprefix("\ufeff"))))
        assert tuple(rows[0]) == COLUMNS
        row = rows[0]
        assert (row["date"], row["action"], row["amount"], row["unit"]) == ("2026-03-01", "added", "2", "lb")
        assert (row["refrigerant"], row["full_charge"], row["demanded"]) == ("R-404A", "150 lb", "yes")
        assert "leak rate" in row["missing"]
        assert row["store_digest"] == HEAD

    def test_amounts_in_several_units_add_up_in_pounds(self) -> None:
        """One pound is 16 avoirdupois ounces and 453.59237 g (NIST Handbook 44, appendix C)."""
        ounces, grams = a_visit(work("added", "8", "ounce")), a_visit(work("added", "453.59237", "gram"))
        log = (*movements(ounces), *movements(grams), *movements(a_visit(work("added", None, None))))
        assert totals_of(log) == {("", "added"): (Decimal("1.5"), 1)}
        document = log_json(log, "2026-01-01", None, HEAD)
        assert document["totals"] == [
            {"refrigerant": "", "action": "added", "pounds": Decimal("1.5"), "without_amount": 1}
        ]


def work(action: str, amount: str | None, unit: str | None) -> Any:
    from journal.domain.visit import WorkDone

    return WorkDone(action, "refrigerant", Decimal(amount) if amount else None, unit, id=f"w{amount}")


def test_a_word_longer_than_a_column_may_break_on_paper() -> None:
    from journal.present.pdf import _breakable

    words = f"{'v' * 300} short {'x' * 31}"
    broken = _breakable(words)
    assert broken.replace("\N{ZERO WIDTH SPACE}", "") == words
    assert max(len(part) for part in re.split("[\N{ZERO WIDTH SPACE} ]", broken)) <= 31
    assert _breakable("R-448A, 27 lb 11 oz") == "R-448A, 27 lb 11 oz"
