"""How the second opinion is learned: classes from tables, and a regression that tells them apart."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from journal.interpret.quantities import opinion
from models.recipe.opinion import Expected, examples, learn, narrations


def test_expected_readings_are_each_used_once() -> None:
    expected = Expected([{"kind": "voltage", "value": "240", "unit": "volt"}, {"kind": "pressure", "low": "3"}])
    assert expected.take([Decimal(240), Decimal(2)]) == (True, "voltage")
    assert expected.take([Decimal(240)]) == (False, None)
    assert expected.take([Decimal(3)]) == (True, "pressure None")


def test_numbers_of_a_narration_have_their_class() -> None:
    said = ["common to run one point four ohms", "breaker nineteen and suction is sixty two"]
    found = [label for _, label in examples(said, None)]
    assert found == ["resistance", opinion.NONE, "pressure psi"]


def test_a_table_overrules_what_is_not_understood() -> None:
    said = ["suction is sixty two"]
    told = [label for _, label in examples(said, [{"kind": "temperature", "value": "62", "unit": "degF"}])]
    assert told == ["temperature"]
    assert [label for _, label in examples(said, [])] == [opinion.NONE]


def test_every_open_phrase_is_told_about_and_no_held_out_one(tmp_path: Path) -> None:
    for folder in (".", "fresh", "held_out"):
        (tmp_path / folder).mkdir(exist_ok=True)
        (tmp_path / folder / "some.toml").write_text(f'[[phrase]]\nsaid = "from {folder}"\n', encoding="utf-8")
    assert sorted(narrations(tmp_path)) == [(["from ."], None), (["from fresh"], [])]
    assert len(list(narrations())) > 1400


def test_the_regression_tells_its_classes_apart() -> None:
    pytest.importorskip("sklearn")
    found = [
        ({f"l0={word}": 1.0, "whole": 1.0}, label)
        for word, label in (("head", "a"), ("coil", "b"), ("box", "c"))
        for _ in "12345"
    ]
    weights = learn(found)
    assert weights.shares({"l0=head": 1.0})["a"] > 0.7
    assert weights.shares({"l0=coil": 1.0})["b"] > 0.7
