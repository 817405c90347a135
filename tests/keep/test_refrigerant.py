"""The log's own query finds what reading every visit whole would find."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from journal.domain.verdict import Authority, Outcome, Verdict
from journal.domain.visit import Equipment, Field, Visit, WorkDone
from journal.errors import BadInput
from journal.keep import Store, current
from journal.keep.complete import refrigerant_record
from journal.present.refrigerant import movements

MACHINE = Equipment("rack", refrigerant="R-448A", charge=Decimal(150), charge_unit="pound")


def of(day: str, *work: WorkDone, **parts: object) -> Visit:
    fields = (Field("certificate", "U-508812", id="f"),)
    visit = Visit("", "", started=f"{day}T08:00:00+00:00", technician="Ines", site="Quillwort Bakery", work=work)
    return replace(visit, equipment=(MACHINE,), fields=fields, **parts)  # type: ignore[arg-type]


def scale(amount: str) -> Verdict:
    return Verdict(
        "refrigerant-balance", 1, "Refrigerant by the scale", Outcome.WITHIN, Authority.PHYSICS, "It is so.",
        value=Decimal(amount), unit="pound", equipment="rack", id=f"v{amount}",
    )  # fmt: skip


@pytest.fixture
def moved(tmp_path: Path) -> tuple[Store, list[str]]:
    store = Store.open(tmp_path / "moved")
    added = WorkDone("added", "refrigerant", Decimal("2.50"), "pound", id="w")
    visits = [
        of("2026-01-05", added),
        of("2026-02-05", WorkDone("cleaned", "coil", id="w")),
        of("2026-03-05", replace(added, action="recovered"), WorkDone("replaced", "drier", id="w2")),
        of("2026-04-05", verdicts=(scale("8.3"),)),
        of("2026-05-05", replace(added, action="checked")),
        of("2026-06-05", added),
        of("2026-07-05", replace(added, done=False)),
        of("2026-08-05", added, verdicts=(scale("-1"),)),
    ]
    codes = [store.add_visit(visit, {}).code for visit in visits]
    who = {"by": "Ann", "why": "misheard"}
    store.correct(codes[4], "w", {"action": "recovered", "amount": "3"}, by="Ann", why="misheard")
    store.correct(codes[0], store.visit(codes[0]).id, {"site": "Sawyer Lane", "equipment/rack/charge": "40"}, **who)  # type: ignore[arg-type]
    store.blank(codes[5], parts=["w"], by="Ann", why="another customer's")
    store.correct(codes[7], "f", {"value": "U-1"}, by="Ann", why="misheard")
    return store, codes


def test_the_query_finds_what_whole_visits_tell(moved: tuple[Store, list[str]]) -> None:
    store, codes = moved
    whole = [one for code in codes for one in movements(current(store.visit(code)))]
    asked = [one for visit in store.refrigerant_visits() for one in movements(current(visit))]
    assert asked == whole
    assert [(one.visit, one.action, one.amount) for one in asked] == [
        (codes[0], "added", Decimal("2.50")), (codes[2], "recovered", Decimal("2.50")),
        (codes[3], "added", Decimal("8.3")), (codes[4], "recovered", Decimal(3)),
        (codes[7], "added", Decimal("2.50")), (codes[7], "recovered", Decimal(1)),
    ]  # fmt: skip
    assert (asked[0].site, asked[0].record["full charge"]) == ("Sawyer Lane", "40 lb")


def test_only_what_a_log_needs_is_read(moved: tuple[Store, list[str]]) -> None:
    store, codes = moved
    first = store.refrigerant_visits()[0]
    assert (first.utterances, first.readings, first.notes, first.findings) == ((), (), (), ())
    assert refrigerant_record(current(first)) == refrigerant_record(current(store.visit(codes[0])))


def test_period_and_site(moved: tuple[Store, list[str]]) -> None:
    store, codes = moved

    def found(**wanted: str) -> list[str]:
        return [visit.code for visit in store.refrigerant_visits(**wanted)]

    assert found(since="2026-03-05", until="2026-04-05") == codes[2:4]
    assert found(site="sawyer") == codes[:1]
    assert found(since="2027-01-01") == []
    with pytest.raises(BadInput, match="no day"):
        found(since="last year")
