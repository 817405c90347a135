"""The vocabulary files: no form with two meanings, canonical names only, everything listed for a speech model."""

from __future__ import annotations

import pytest

from journal.domain.kind import Kind
from journal.domain.unit_table import unit_table
from journal.interpret import spoken_forms, spoken_words
from journal.interpret.vocabulary import FILES, Entry, VocabularyConflict, checked, entries, table
from tests.interpret.phrase_tables import names


def test_every_file_opens_with_its_grammar() -> None:
    from importlib import resources

    folder = resources.files("journal.interpret").joinpath("vocabulary")
    for name in FILES:
        text = folder.joinpath(f"{name}.toml").read_text(encoding="utf-8")
        assert text.startswith("#"), name
        assert "Grammar of this file" in text, name


def test_no_form_has_two_meanings_in_one_context() -> None:
    assert len(entries()) > 2_000


def test_a_second_meaning_is_refused() -> None:
    twice = [Entry("points", "run", "r"), Entry("points", "R", "r")]
    with pytest.raises(VocabularyConflict, match="means both 'run' and 'R'"):
        checked(iter(twice))


def test_names_are_canonical() -> None:
    known = names()
    assert set(table("components")) <= known.components
    assert set(table("points")["point"]) <= known.points
    assert {name for name, body in table("findings").items() if isinstance(body, dict)} <= known.findings
    assert {name for name, body in table("work").items() if isinstance(body, dict)} <= known.actions
    assert set(table("conditions")["conditions"]) <= known.conditions


def test_units_and_kinds_exist() -> None:
    codes = set(unit_table())
    units = table("units")
    assert set(units) - {"shared"} == codes - {"psia", "degK", "delta_degC"} | {"psia"}
    for entry in units["shared"]:
        assert {entry["unit"], *(when["unit"] for when in entry["when"])} <= codes
    for name, body in table("components").items():
        assert {entry["unit"] for entry in body.get("unsaid", ())} <= codes, name
    for name, body in table("kinds").items():
        assert Kind(name)
        assert body["unit"] in codes


def test_spoken_forms_are_the_source_of_a_speech_model() -> None:
    forms = spoken_forms()
    assert {"numbers", "units", "components", "points", "refrigerants"} <= set(forms)
    words = spoken_words()
    assert {"forty", "oh", "microfarads", "contactor", "superheat", "scratch"} <= set(words)
    assert all(word == word.strip() and " " not in word for word in words)
