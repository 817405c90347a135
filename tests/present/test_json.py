"""A visit as JSON: exact both ways, and as the published schema says."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from journal.domain import reading, speech, verdict, visit
from journal.domain.unit_table import unit_table
from journal.domain.visit import Interpretation, Visit
from journal.errors import BadInput
from journal.present.export import (
    json_text,
    json_value,
    readings_json,
    verdict_json,
    visit_from_json,
    visit_from_text,
    visit_json,
    visit_schema,
    visit_text,
)
from tests.builders import a_reading, a_verdict, a_visit
from tests.present import visits

SCHEMA = visit_schema()
VALIDATOR = Draft202012Validator(SCHEMA)


def problems(document: Any) -> list[str]:
    return [error.message for error in VALIDATOR.iter_errors(document)]


def everything(value: Visit) -> Any:
    """Return a visit with the fields its types leave out of comparison."""
    return dataclasses.asdict(value)


def test_the_schema_is_itself_valid() -> None:
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("make", visits.ALL.values(), ids=visits.ALL)
def test_every_visit_is_as_the_schema_says_and_comes_back_exactly(make: Callable[[], Visit]) -> None:
    original = make()
    document = visit_json(original)
    assert problems(document) == []
    assert everything(visit_from_json(document)) == everything(original)
    text = visit_text(original)
    json.loads(text)
    assert everything(visit_from_text(text)) == everything(original)


def test_digits_stay_as_they_were_said() -> None:
    text = visit_text(a_visit(a_reading(volt="24.30"), a_reading(ohm="1E+3"), a_reading(degF="-0.0")))
    assert '"value": 24.30,' in text
    values = [r.value for r in visit_from_text(text).readings]
    assert [str(value) for value in values] == ["24.30", "1E+3", "-0.0"]


@given(st.decimals(allow_nan=False, allow_infinity=False))
def test_any_decimal_survives(number: Decimal) -> None:
    back = json_value(json_text({"n": number}))["n"]
    assert str(Decimal(back)) == str(number) or (back == 0 and number == 0)


@given(
    st.recursive(
        st.none() | st.booleans() | st.text() | st.integers(), lambda s: st.lists(s) | st.dictionaries(st.text(), s)
    )
)
def test_our_writer_writes_what_the_standard_reader_reads(value: Any) -> None:
    assert json.loads(json_text(value)) == value


def test_a_reading_has_the_members_of_the_design() -> None:
    members = {
        "id", "kind", "value", "low", "high", "state", "unit", "ucum", "role", "phase", "equipment", "component",
        "points", "conditions", "trend", "said", "recording", "start", "end", "confidence", "heard_by", "inferred",
        "doubts", "alternatives", "withdrawn",
    }  # fmt: skip
    document = visit_json(visits.full())["readings"][0]
    assert members <= set(document)
    assert document["ucum"] == "[psi]"
    assert document["inferred"] == {"unit": "meter mode", "component": "the sentence before"}
    assert (document["said"], document["start"], document["end"]) == ("to start three", 41.2, 43.05)


@pytest.mark.parametrize(
    ("name", "kind", "added"),
    [
        ("word", speech.Word, set()),
        ("utterance", speech.Utterance, set()),
        ("doubt", reading.Doubt, set()),
        ("alternative", reading.Alternative, {"ucum"}),
        ("equipment", visit.Equipment, {"charge_ucum"}),
        ("recording", visit.Recording, set()),
        ("limit", verdict.Limit, {"ucum"}),
        ("verdict", verdict.Verdict, {"ucum"}),
        ("diagnosis", verdict.Diagnosis, set()),
        ("correction", visit.Correction, set()),
        ("attachment", visit.Attachment, set()),
        ("blanking", visit.Blanking, set()),
    ],
)
def test_the_schema_knows_every_field(name: str, kind: Any, added: set[str]) -> None:
    fields = {field.name for field in dataclasses.fields(kind)}
    assert set(SCHEMA["$defs"][name]["properties"]) == fields | added
    assert SCHEMA["$defs"][name]["additionalProperties"] is False


def test_the_schema_knows_every_unit() -> None:
    assert SCHEMA["$defs"]["unit"]["enum"] == [*unit_table(), None]


@pytest.mark.parametrize(
    "spoil",
    [
        lambda d: d["readings"][0].update(value=None),  # neither value, range nor state
        lambda d: d["readings"][0].update(surplus=1),
        lambda d: d["readings"][0].update(unit="furlong"),
        lambda d: d["readings"][0].pop("role"),
        lambda d: d["verdicts"][0].update(missing=["L2"]),  # outside, yet something is missing
        lambda d: d["corrections"][0].update(why=""),
        lambda d: d["utterances"][0]["words"][0].update(confidence=1.5),
        lambda d: d.update(version=2),
        lambda d: d.update(surplus=[]),
    ],
)
def test_a_spoiled_document_is_refused_by_schema_and_reader(spoil: Callable[[dict[str, Any]], object]) -> None:
    document = visit_json(visits.full())
    assert problems(document) == []
    spoil(document)
    assert problems(document) != []
    with pytest.raises(BadInput):
        visit_from_json(document)


@pytest.mark.parametrize(
    "text", ["", "[]", "{", "null", '{"format": "visit-journal visit", "version": 1}', '{"n": NaN}']
)
def test_text_that_is_no_visit_is_one_sentence(text: str) -> None:
    with pytest.raises(BadInput, match="This"):
        visit_from_text(text)


def test_understanding_and_verdicts_have_the_shapes_of_a_visit() -> None:
    whole = visits.full()
    document = readings_json(Interpretation(readings=whole.readings), whole.verdicts)
    assert document["readings"] == visit_json(whole)["readings"]
    assert document["verdicts"] == visit_json(whole)["verdicts"]
    one = a_verdict(value="24.30", unit="volt")
    assert verdict_json(one)["value"] == Decimal("24.30")
    assert verdict_json(one)["ucum"] == "V"
