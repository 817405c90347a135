"""Calibration of a model's confidences: right words are found, the curve rises and comes closer to the truth."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from journal.domain.speech import Utterance, Word
from journal.hear.calibration import FILE, read_calibration
from journal.hear.model_files import ModelFiles
from models.recipe import calibrate
from models.recipe.heard import Heard
from models.recipe.readings import Line


def heard(said: str, *words: tuple[str, float]) -> Heard:
    times = [Word(text, at * 0.3, at * 0.3 + 0.2, confidence) for at, (text, confidence) in enumerate(words)]
    return Heard(Line(said, ()), "none", (Utterance("r1", 0, tuple(times)),), (), 1.0, 0.1, 0.1)


def test_words_are_right_where_they_were_said_and_unknown_ones_do_not_count() -> None:
    one = heard(
        "the coil is oh point four", ("the", 0.9), ("[unk]", 0.5), ("fifty", 0.4), ("zero", 0.8), ("point", 1.0)
    )
    assert calibrate.pairs([one]) == [(0.9, True), (0.4, False), (0.8, True), (1.0, True)]


def made(count: int, seed: int) -> list[tuple[float, bool]]:
    """Words of a recogniser that boasts: of those it gives c, c squared are right."""
    draw = np.random.default_rng(seed)
    confidences = draw.uniform(0, 1, count)
    return [(float(c), bool(draw.random() < c * c)) for c in confidences]


def test_the_curve_rises_and_mends_a_boasting_recogniser() -> None:
    pytest.importorskip("sklearn", reason="needs the extra [models]")
    curve = calibrate.fit(made(4000, 1))
    assert list(curve.right) == sorted(curve.right)
    assert curve(0.5) == pytest.approx(0.25, abs=0.08)
    shown = made(4000, 2)
    after = [(curve(confidence), good) for confidence, good in shown]
    assert calibrate.error(shown) > 0.12
    assert calibrate.error(after) < 0.04


def test_tenths_and_their_error_by_hand() -> None:
    known = [(0.95, True), (0.95, False), (0.05, False), (1.0, True)]
    rows = calibrate.tenths(known)
    assert rows[0] == (1, 0.05, 0.0)
    assert rows[9] == pytest.approx((3, 2.9 / 3, 2 / 3))
    assert calibrate.error(known) == pytest.approx((0.05 + 3 * (2.9 / 3 - 2 / 3)) / 4)


def test_the_curve_is_kept_beside_the_model_and_stands_in_its_manifest(tmp_path: Path) -> None:
    (tmp_path / "manifest.json").write_text('{"name": "some", "files": []}', encoding="utf-8")
    calibrate.save(tmp_path, calibrate.Calibration((0.0, 1.0), (0.1, 0.9)), {"words": 3})
    assert read_calibration(tmp_path)(1.0) == pytest.approx(0.9)
    told = json.loads((tmp_path / "manifest.json").read_text(encoding="utf-8"))
    assert [entry["path"] for entry in told["files"]] == [FILE]
    assert ModelFiles("some", tmp_path, told).has_manifest
