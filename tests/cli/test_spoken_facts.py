"""What is said beside the readings: site and customer from known ones, facts for billing; confirmed by typing."""

from __future__ import annotations

from pathlib import Path

import pytest

from journal.adding import add_to_visit
from journal.domain.speech import utterance_of
from journal.domain.visit import Visit
from journal.keep import Store, current
from journal.pipeline import Frame, Rules, compose, understand
from tests.cli.running import run

RULES = Rules()


def said(store: Store, *lines: str, site: str | None = None) -> Visit:
    """A visit of spoken lines, as ``ingest`` and the live capture put it together."""
    utterances = [u for i, line in enumerate(lines) for u in [utterance_of(line, index=i)]]
    heard = [type(u)(u.recording, u.index, u.words, heard_by="vosk") for u in utterances]
    understanding = understand(heard, rules=RULES, known=store.known_names())
    return store.add_visit(compose(Frame(site=site, started="2026-03-02T08:15:00+00:00"), (), heard, understanding), {})


@pytest.fixture
def store(tmp_path: Path) -> Store:
    store = Store.open(tmp_path / "store")
    earlier = said(store, "suction is sixty six psi", site="Quillwort Bakery")
    assert run("fill", earlier.code, "customer=Moss & Fern", "--store", store.folder).code == 0
    return store


def facts(visit: Visit) -> dict[str, str]:
    return {fact.name: fact.value for fact in visit.fields}


def test_known_names_are_those_of_earlier_visits_as_corrected(store: Store) -> None:
    known = store.known_names()
    assert (known.sites, known.customers) == (("Quillwort Bakery",), ("Moss & Fern",))
    (visit,) = store.visits()
    code = ("--store", store.folder, "--why", "misspelt")
    assert run("fill", visit.code, "customer=Moss and Fern Ltd", "site=Quillwort Bakery East", *code).code == 0
    known = store.known_names()
    assert (known.sites, known.customers) == (("Quillwort Bakery East",), ("Moss and Fern Ltd",))


def test_a_known_site_is_chosen_by_speech(store: Store) -> None:
    visit = said(store, "i'm at quillwort bakery", "customer is moss and fern")
    assert visit.site == "Quillwort Bakery"
    assert facts(visit)["customer"] == "Moss & Fern"
    out = run("show", visit.code, "--store", store.folder).out
    assert out.count("Quillwort Bakery") == 1, "once as the site, not again as a fact"


def test_a_site_that_is_only_alike_is_never_taken(store: Store) -> None:
    visit = said(store, "i'm at quillward bakery")
    assert visit.site is None
    shown = run("show", visit.code, "--store", store.folder).out
    assert "Site, as heard" in shown
    assert "still to be confirmed" in shown
    assert "the site" in " ".join(shown.split("Missing from the record")[1].split())
    customer = run("export", visit.code, "--store", store.folder, "--for", "customer", "-f", "json", "-o", "-").out
    assert "quillward" not in customer.lower()
    assert "Quillwort" not in customer


def test_a_confirmed_site_settles_it(store: Store) -> None:
    visit = said(store, "i'm at quillward bakery")
    assert run("fill", visit.code, "site=Quillwort Bakery", "--store", store.folder).code == 0
    shown = run("show", visit.code, "--store", store.folder).out
    assert "as heard" not in shown


def test_the_typed_site_wins_and_what_was_said_is_told(store: Store) -> None:
    visit = said(store, "i'm at quillwort bakery", site="Sawyer Lane")
    assert visit.site == "Sawyer Lane"
    (fact,) = visit.fields
    assert "Sawyer Lane" in fact.doubts[0].why
    same = said(store, "i'm at quillwort bakery", site="quillwort bakery")
    assert (same.site, same.fields[0].doubts) == ("quillwort bakery", ())


class TestAddedLater:
    def test_a_visit_without_site_gets_the_known_one(self, store: Store) -> None:
        visit = said(store, "suction is sixty six psi")
        add_to_visit(visit.code, lines=["i'm at quillwort bakery"], store=store, rules=RULES, by="Ann")
        now = store.visit(visit.code)
        assert current(now).site == "Quillwort Bakery"
        assert now.site is None, "as it was written"
        assert [(c.field, c.why) for c in now.corrections] == [("site", "said in the visit")]
        assert visit.code in [one.code for one in store.visits(site="quillwort")]

    def test_another_site_than_the_visits_is_only_told(self, store: Store) -> None:
        visit = said(store, "suction is sixty six psi", site="Sawyer Lane")
        after = add_to_visit(visit.code, lines=["i'm at quillwort bakery"], store=store, rules=RULES, by="Ann")
        assert current(after).site == "Sawyer Lane"
        assert after.fields[0].doubts

    def test_a_fact_the_record_has_otherwise_is_doubted(self, store: Store) -> None:
        visit = said(store, "arrived at eight ten", "warranty call")
        lines = ["arrived at eight twenty", "it's a warranty call"]
        after = add_to_visit(visit.code, lines=lines, store=store, rules=RULES, by="Ann")
        told = [(fact.name, fact.value, bool(fact.doubts)) for fact in after.fields]
        assert told == [("arrived", "8:10", False), ("warranty", "yes", False), ("arrived", "8:20", True)]


class TestConfirming:
    def test_typing_the_same_confirms_a_fact(self, store: Store) -> None:
        visit = said(store, "work order two two three one")
        assert "still to be confirmed" in run("show", visit.code, "--store", store.folder).out
        assert run("fill", visit.code, "work order=2231", "--store", store.folder).code == 0
        (fact,) = current(store.visit(visit.code)).fields
        assert (fact.value, fact.doubts) == ("2231", ())
        assert store.visit(visit.code).fields[0].doubts, "as it was heard"

    def test_a_fact_by_its_number(self, store: Store) -> None:
        visit = said(store, "work order two two three one")
        assert run("correct", visit.code, "D1", "--confirm", "--why", "read back", "--store", store.folder).code == 0
        assert not current(store.visit(visit.code)).fields[0].doubts

    def test_typing_the_plate_confirms_it(self, store: Store) -> None:
        visit = said(store, "walk in freezer model w c four two b", "serial q x seven seven one eight")
        (machine,) = visit.equipment
        assert [doubt.code for doubt in machine.doubts] == ["spelled", "spelled"], "one for each number"
        assert run("fill", visit.code, "serial=QX7719", "--why", "the plate", "--store", store.folder).code == 0
        (left,) = current(store.visit(visit.code)).equipment[0].doubts
        assert "model" in left.why, "the serial was typed, the model is still as heard"
        assert run("fill", visit.code, f"model={machine.model}", "--store", store.folder).code == 0
        assert not current(store.visit(visit.code)).equipment[0].doubts
