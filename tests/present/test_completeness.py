"""What a record lacks, and what rules demand of it.

The rules: 40 CFR 82.157 (ozone-depleting refrigerants, full charge of 50 pounds or more) and 40 CFR 84.106 (HFCs, 15
pounds or more, from 1 January 2026; 89 FR 82682 of 11 October 2024), as ``judge/regulations.toml`` has them.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from journal.domain.visit import Equipment, Field, Visit, WorkDone
from journal.keep.complete import field_names
from journal.present.completeness import missing_in
from journal.present.record import visit_html
from journal.present.record_fields import customer_may_read, demanded_places, known_fields, labelled
from journal.present.refrigerant import movements
from tests.builders import a_note, a_reading, a_verdict, a_visit


def charged(refrigerant: str | None, pounds: str | None, day: str, *more: object) -> Visit:
    """A visit on which two pounds were added to a machine with that full charge."""
    machine = Equipment(
        "rack A",
        "rack",
        refrigerant=refrigerant,
        charge=Decimal(pounds) if pounds else None,
        charge_unit="pound" if pounds else None,
    )
    added = WorkDone("added", "refrigerant", Decimal(2), "pound", equipment="rack A", id="w1")
    return a_visit(machine, added, *more, started=f"{day}T08:00:00+00:00", technician="Ines", site="Dairy")


@pytest.mark.parametrize(
    ("refrigerant", "pounds", "day", "certain", "rule"),
    [
        ("R-404A", "150", "2026-03-01", True, "40 CFR 84.106, in force since 2026-01-01"),
        ("R-404A", "15", "2026-01-01", True, "40 CFR 84.106"),
        ("R-404A", "14.9", "2026-03-01", False, "no federal rule"),
        ("R-404A", "150", "2025-12-31", False, "no federal rule"),
        ("R-22", "50", "2025-06-01", True, "40 CFR 82.157(c)(2), in force since 2019-01-01"),
        ("R-22", "49", "2025-06-01", False, "no federal rule"),
        ("R-744", "400", "2026-03-01", False, "no federal rule"),
    ],
)
def test_which_rule_demands_the_record(refrigerant: str, pounds: str, day: str, certain: bool, rule: str) -> None:
    (movement,) = movements(charged(refrigerant, pounds, day))
    assert movement.certain is certain
    assert rule in movement.rule
    words = {item.word for item in missing_in(charged(refrigerant, pounds, day)).items}
    assert ("demanded" in words) is certain
    assert "may be demanded" not in words


def test_what_is_not_known_may_be_demanded_and_names_the_rules_with_their_dates() -> None:
    gaps = missing_in(charged("R-404A", None, "2026-03-01"))
    assert {item.word for item in gaps.items} == {"may be demanded", ""}
    assert "full charge not known" in gaps.rules[0]
    assert "40 CFR 84.106, since 2026-01-01, from 15 lb of HFCs" in gaps.rules[0]
    assert "82.157" not in gaps.rules[0], "R-404A depletes no ozone"
    assert "the regulation in force at the place goes first" in gaps.rules[-1]


def test_demanded_stands_first_and_nothing_is_listed_twice() -> None:
    visit = charged("R-404A", "150", "2026-03-01")
    items = missing_in(visit).items
    assert [item.word for item in items[:2]] == ["demanded", "demanded"]
    assert {item.place for item in items[:2]} == {"field.leak rate", "field.certificate"}
    places = [item.place for item in items]
    assert len(places) == len(set(places))
    whole = charged("R-404A", "150", "2026-03-01", Field("leak rate", "12 %"), Field("certificate", "U-5"))
    assert not [item for item in missing_in(whole).items if item.word]


def test_a_repair_without_a_reading_as_left_is_missing_one() -> None:
    repair = WorkDone("replaced", "start relay", id="w1")
    lacks = [item.what for item in missing_in(a_visit(repair)).items]
    assert "a reading as left, after the repair" in lacks
    mended = a_visit(repair, a_reading(volt="240", phase="as left"))
    assert "a reading as left, after the repair" not in [item.what for item in missing_in(mended).items]


def test_what_the_scale_tells_is_the_amount_of_a_movement() -> None:
    scale = a_verdict("within", check="refrigerant-balance", value="8.3125", unit="pound")
    (movement,) = movements(a_visit(WorkDone("added", "refrigerant", id="w1"), scale))
    assert (movement.amount, movement.by_scale) == (Decimal("8.3125"), True)
    (alone,) = movements(a_visit(a_verdict("within", check="refrigerant-balance", value="-2", unit="pound")))
    assert (alone.action, alone.pounds) == ("recovered", Decimal(2))
    said = movements(a_visit(WorkDone("added", "refrigerant", Decimal(8), "pound", id="w1"), scale))
    assert [(m.amount, m.by_scale) for m in said] == [(Decimal(8), False)], "one movement, not two"


def test_every_name_of_the_list_has_a_label_and_the_other_way_round() -> None:
    listed = {name for names in field_names().values() for name in names}
    assert set(known_fields()) == listed
    from journal.judge.records import record_fields

    assert set(demanded_places()) == {field["name"] for field in record_fields()}


def test_facts_stand_where_they_belong_and_the_office_keeps_its_own() -> None:
    facts = (
        Field("work order", "WO-77"),
        Field("part from", "truck-shelf-9"),
        Field("how it was left", "locked out-44"),
        Field("door code", "secret-1234"),
        Field("customer", "Quillwort-12"),
    )
    visit = a_visit(*facts, a_note("internal", "bill-twice"))
    office, customer = visit_html(visit), visit_html(visit, audience="customer")
    for shown in ("WO-77", "locked out-44", "Quillwort-12"):
        assert shown in office
        assert shown in customer
    for kept in ("truck-shelf-9", "secret-1234", "bill-twice", "Missing from the record"):
        assert kept in office
        assert kept not in customer
    assert not customer_may_read("door code"), "a name nobody listed is never a customer's"
    assert labelled(facts, "billing") == (("Work order", "WO-77"),)
    assert office.index("For the invoice") > office.index("As left")
