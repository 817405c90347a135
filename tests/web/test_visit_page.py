"""A visit on its page, one of forty of a day: nothing of the record is missing, and what to bill is in one place."""

from __future__ import annotations

from typing import Any

import html5lib
import pytest

from journal.domain.visit import Field, Visit
from journal.keep.corrections import current
from journal.present.billing import bill_of, on_site
from journal.present.compose import page_of
from tests.web.conftest import Office


def text_of(html: str) -> str:
    """The words of a page, as one line."""
    tree = html5lib.parse(html, namespaceHTMLElements=False)
    return " ".join(" ".join(tree.itertext()).split())


def of_title(office: Office, title: str) -> Visit:
    return next(current(office.state.store.visit(code)) for code, v in office.visits.items() if v.title == title)


@pytest.mark.parametrize("title", ["Shop never gets cool", "Quarterly maintenance", "Freezer quit overnight"])
def test_everything_of_the_record_stands_on_the_page(evening: Office, title: str) -> None:
    """Every reading, verdict, cause, action, note, fact and missing part that the record names is on the page too."""
    visit = of_title(evening, title)
    drawn = page_of(visit)
    answer = evening.client("marit").get(f"/visits/{visit.code}")
    assert answer.status_code == 200
    words = text_of(answer.text)
    wanted = [line.place for line in (*drawn.found, *drawn.left)]
    wanted += [line.plain for line in (*drawn.verdicts, *drawn.undetermined)]
    wanted += [part for cause in drawn.causes for part in (cause.title, cause.because)]
    wanted += [said.text for said in (*drawn.complaint, *drawn.findings, *drawn.work, *drawn.follow_up, *drawn.to_do)]
    wanted += [value for _, value in (*drawn.work_facts, *drawn.left_facts, *drawn.invoice)]
    wanted += [gap.what for gap in drawn.missing] + list(drawn.cautions) + list(drawn.rules)
    wanted += [words for heard in drawn.narration for words, _ in heard.pieces]
    assert len(wanted) > 60
    assert [part for part in wanted if " ".join(part.split()) not in words] == []


def test_every_visit_of_the_day_opens_and_the_list_names_it(evening: Office) -> None:
    client = evening.client("marit")
    listed = client.get("/visits").text
    assert listed.count('<a class="name" href="/visits/') == 40
    for code in evening.visits:
        assert code in listed
        assert client.get(f"/visits/{code}").status_code == 200


@pytest.mark.parametrize(
    ("asked", "found"),
    [("since=2026-11-24", 20), ("until=2026-11-23", 20), ("since=2026-11-24&until=2026-11-24", 20), ("open=1", 32),
     ("machine=walk-in freezer", 13), ("site=Harbour&machine=cooler", 6), ("doubtful=1", None),
     ("outcome=outside", None)],
)  # fmt: skip
def test_the_office_finds_what_it_looks_for(evening: Office, asked: str, found: int | None) -> None:
    """Counts follow from how the day was made; for doubts and verdicts they are counted in the visits themselves."""
    held = [current(evening.state.store.visit(code)) for code in evening.visits]
    counted = {
        "doubtful=1": sum(any(r.needs_listening for r in v.readings) for v in held),
        "outcome=outside": sum(any(one.outcome == "outside" for one in v.verdicts) for v in held),
    }
    page = evening.client("marit").get(f"/visits?{asked}").text
    wanted = counted.get(asked) if found is None else found
    assert wanted
    assert page.count('<a class="name" href="/visits/') == wanted


def test_the_bill_in_one_block(evening: Office) -> None:
    """Weighed by the words of the script: recovered 4 lb 2 oz, charged 7 lb 6 oz, the valve core and its cap new."""
    visit = of_title(evening, "Shop never gets cool")
    blocks = {block.name: block for block in bill_of(visit)}
    assert dict(blocks["Labour"].facts)["On site"] == "2 h 35 min"
    assert ("Work order", "WO-2200") in blocks["Order"].facts
    assert any("valve core" in line for line in blocks["Parts"].lines)
    moved = " / ".join(blocks["Refrigerant"].lines)
    assert "recovered 4.125 lb" in moved
    assert "added 7.375 lb" in moved
    assert not any("recovered" in line or "added" in line for line in blocks["Labour"].lines)
    page = evening.client("marit").get(f"/visits/{visit.code}").text
    bill = page[page.index('id="bill"') : page.index("</section>", page.index('id="bill"'))]
    for part in ("WO-2200", "2 h 35 min", "valve core", "4.125 lb", "7.375 lb", "compressor, 1,900 dollars"):
        assert part in bill
    lost = {"who authorized the work", "warranty or not"}
    assert lost <= {gap for block in bill_of(visit) for gap in block.missing}


@pytest.mark.parametrize(
    ("arrived", "left", "hours"),
    [("08:10", "10:45", "2 h 35 min"), ("10:45", "08:10", ""), ("eight", "10:45", ""), ("08:10", "08:10", "")],
)
def test_hours_are_told_only_where_they_are_sure(arrived: str, left: str, hours: str) -> None:
    assert on_site({"arrived": arrived, "left": left}) == hours
    assert on_site({"arrived": arrived}) == ""


def test_a_fact_is_written_down_corrected_and_closed(evening: Office) -> None:
    visit = of_title(evening, "Quarterly maintenance")
    client, path = evening.client("marit"), f"/visits/{visit.code}/facts"
    for value in ("no", "no", "yes, compressor"):
        answer: Any = evening.post(client, path, {"name": "warranty", "value": value})
        assert answer.status_code == 303
    kept = evening.state.store.visit(visit.code)
    assert [fact.value for fact in kept.fields if fact.name == "warranty"] == ["no"]
    assert [fact.value for fact in current(kept).fields if fact.name == "warranty"] == ["yes, compressor"]
    assert Field("warranty", "yes, compressor") in current(kept).fields
    assert "yes, compressor" in client.get(f"/visits/{visit.code}").text
    evening.state.store.sign_off(visit.code, by="Marit Adeyemi")
    answer = evening.post(client, path, {"name": "travel", "value": "12 miles"})
    assert answer.status_code == 400
    assert "signed off" in answer.text


# --- the machine ----------------------------------------------------------------------------------------------------


def test_what_the_machine_showed_last_time(evening: Office) -> None:
    """The compressor's current rises from visit to visit: the page of a later visit says so, and what it was before."""
    mine = [v for v in evening.visits.values() if (v.title, v.site) == ("Quarterly maintenance", "Quillwort Bakery")]
    latest, before = evening.state.store.visits(site="Quillwort", equipment="condensing unit 3")[:2]
    assert len(mine) > 3
    client = evening.client("marit")
    words = text_of(client.get(f"/visits/{latest.code}").text)
    assert "What it showed last time" in words
    assert "has risen from" in words
    assert f"{len(mine) - 1} earlier visits" in words
    past = client.get(f"/visits/{latest.code}").text
    assert f'href="/visits/{before.code}"' in past
    answer = client.get("/machine?name=condensing unit 3&site=Quillwort Bakery")
    assert answer.status_code == 200
    assert answer.text.count('<svg class="plot"') >= 5
    assert "has risen from" in text_of(answer.text)
    assert all(visit.code in answer.text for visit in mine)


def test_the_first_visit_looks_back_on_nothing(evening: Office) -> None:
    first = evening.state.store.visits(site="Quillwort", equipment="condensing unit 3")[-1]
    assert "What it showed last time" not in evening.client("marit").get(f"/visits/{first.code}").text


def test_a_technician_sees_of_a_machine_what_is_theirs(evening: Office) -> None:
    path = "/machine?name=condensing unit 3&site=Quillwort Bakery"
    listed = evening.state.store.visits(site="Quillwort", equipment="condensing unit 3")
    mine = {one.code for one in listed if one.technician == "Ines Okafor"}
    others = {one.code for one in listed} - mine
    assert mine
    assert others
    page = evening.client("ines").get(path).text
    assert all(code in page for code in mine)
    assert not any(code in page for code in others)
    assert "has risen" not in page, "a drift rests on readings that are not all theirs"


@pytest.mark.parametrize(
    ("path", "status"),
    [("/machine", 404), ("/machine?name=nothing", 404), ("/machine?name=walk-in cooler", 400),
     ("/machine?serial=%00", 404), ("/machine?name=<script>&site=x", 404)],
)  # fmt: skip
def test_machines_that_are_none(evening: Office, path: str, status: int) -> None:
    answer = evening.client("marit").get(path)
    assert answer.status_code == status
    assert "<script>alert" not in answer.text
    assert "name=<script>" not in answer.text


# --- undoing --------------------------------------------------------------------------------------------------------


def test_a_confirmation_is_undone_with_its_doubt(evening: Office) -> None:
    """Pressing 'it is right' by mistake loses no doubt: putting it back brings reasons and alternatives again."""
    visit = next(v for v in evening.visits.values() if any(r.needs_listening for r in v.readings))
    reading = next(r for r in visit.readings if r.needs_listening)
    client, path = evening.client("marit"), f"/visits/{visit.code}/readings/{reading.id}"

    def held() -> Any:
        return next(r for r in current(evening.state.store.visit(visit.code)).readings if r.id == reading.id)

    evening.post(client, path, {"confirm": "yes", "seen": "0"})
    assert not held().needs_listening
    answer: Any = evening.post(client, path, {"undo": "yes", "seen": "1"})
    assert answer.status_code == 303
    assert (held().doubts, held().alternatives) == (reading.doubts, reading.alternatives)
    evening.post(client, path, {"choice": "0", "seen": "2"})
    assert held().value == reading.alternatives[0].value
    evening.post(client, path, {"undo": "yes", "seen": "3"})
    assert (held().value, held().doubts) == (reading.value, reading.doubts)
    answer = evening.post(client, path, {"undo": "yes", "seen": "3"})
    assert answer.status_code == 409
    assert evening.state.store.verify().ok


def test_nothing_to_put_back(evening: Office) -> None:
    visit = next(iter(evening.visits.values()))
    answer: Any = evening.post(
        evening.client("marit"), f"/visits/{visit.code}/readings/{visit.readings[0].id}", {"undo": "yes", "seen": "0"}
    )
    assert answer.status_code == 400


@pytest.mark.parametrize(
    ("typed", "fields"),
    [("11 to 12.5", {"low": "11", "high": "12.5", "value": None}), ("open", {"state": "open", "value": None}),
     (".5", {"value": "0.5"})],
)  # fmt: skip
def test_a_value_is_typed_as_it_is_said(evening: Office, typed: str, fields: dict[str, str | None]) -> None:
    visit = of_title(evening, "Freezer quit overnight")
    ohms = next(r for r in visit.readings if r.unit == "ohm" and r.value is not None)
    answer: Any = evening.post(
        evening.client("marit"), f"/visits/{visit.code}/readings/{ohms.id}", {"value": typed, "unit": "Ω", "seen": "0"}
    )
    assert answer.status_code == 303, answer.text
    now = next(r for r in current(evening.state.store.visit(visit.code)).readings if r.id == ohms.id)
    for name, wanted in fields.items():
        held = getattr(now, name)
        assert (None if held is None else str(held)) == wanted


def test_an_unknown_unit_is_told(evening: Office) -> None:
    visit = next(iter(evening.visits.values()))
    answer: Any = evening.post(
        evening.client("marit"), f"/visits/{visit.code}/readings/{visit.readings[0].id}", {"unit": "bananas"}
    )
    assert answer.status_code == 400
    assert "bananas" in answer.text
