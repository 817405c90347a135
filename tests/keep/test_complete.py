"""What a record lacks is listed; what it holds for the refrigerant record is handed over by the rules' own names."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from journal.domain.reading import Phase
from journal.domain.visit import Equipment, Field, Note, Visit, WorkDone
from journal.judge.records import missing_from_record, record_fields
from journal.keep.complete import field_names, lacking, refrigerant_record
from tests.keep.visits import a_reading, a_visit

CHARGED = WorkDone("added", amount=Decimal("2.5"), unit="pound", equipment="reach-in 2")


def lacks(visit: Visit) -> set[str]:
    return {lack.held_by for lack in lacking(visit)}


def test_an_empty_visit_lacks_nearly_everything() -> None:
    assert {"visit.technician", "note.complaint", "equipment.serial", "readings"} <= lacks(Visit("", ""))


def test_what_is_there_is_not_lacking() -> None:
    whole = a_visit(
        readings=(a_reading(), a_reading(id="left", phase=Phase.AS_LEFT)),
        notes=(Note("complaint", "warm"), Note("conclusion", "fan was dead")),
        fields=tuple(
            Field(name, "x")
            for name in (
                "work order",
                "how it was left",
                "who was told",
                "arrived",
                "left",
                "authorized by",
                "warranty",
            )
        ),
    )
    assert lacks(whole) == set()
    for name in ("readings", "equipment"):
        assert lacks(replace(whole, **{name: ()}))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("changes", "held_by", "needed"),
    [
        ({}, "as left", True),  # the example's motor was replaced
        ({"work": ()}, "as left", False),
        ({"work": (WorkDone("replaced", "motor", done=False),)}, "as left", False),
        ({}, "field.certificate", False),
        ({"work": (CHARGED,)}, "field.certificate", True),
        ({"work": (CHARGED,)}, "equipment.charge", True),
        ({}, "field.authorized by", True),  # it has a work order
        ({"fields": ()}, "field.authorized by", False),
        ({"readings": (a_reading(withdrawn=True),)}, "readings", True),
        ({"notes": (Note("complaint", "  "),)}, "note.complaint", True),
    ],
)
def test_some_parts_are_needed_only_sometimes(changes: dict[str, object], held_by: str, needed: bool) -> None:
    assert (held_by in lacks(a_visit(**changes))) is needed


def test_without_refrigerant_there_is_no_refrigerant_record() -> None:
    assert refrigerant_record(a_visit()) == {}


def test_the_refrigerant_record_speaks_the_rules_own_names() -> None:
    """The nine fields are those of 40 CFR 82.157(l)(2), as ``judge`` lists them."""
    machine = Equipment(
        "reach-in 2", refrigerant="R-448A", charge=Decimal("60"), charge_unit="pound", location="kitchen"
    )
    visit = a_visit(work=(CHARGED,), equipment=(machine,))
    record = refrigerant_record(visit)
    assert set(record) == {field["name"] for field in record_fields()}
    assert record["amount"] == "added 2.5 lb"
    assert record["full charge"] == "60 lb"
    assert record["appliance"] == "reach-in 2, kitchen, Corner Larder"
    asked = missing_from_record(record)
    assert len(asked) == 2
    assert any("leak rate" in question for question in asked)
    assert any("certificate" in question for question in asked)
    unweighed = refrigerant_record(replace(visit, work=(CHARGED, WorkDone("recovered"))))
    assert unweighed["amount"] == ""


def test_names_of_fields_are_given_once() -> None:
    names = [name for group in field_names().values() for name in group]
    assert len(set(names)) == len(names) > 20
