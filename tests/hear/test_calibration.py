"""A recogniser's confidence turned into the share of words that were right."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal.errors import ModelUnusable
from journal.hear.calibration import AS_IT_IS, FILE, Calibration, read_calibration, weights_of
from journal.hear.endpointer import EndRule
from journal.hear.vosk_recogniser import VoskRecogniser

CURVE = Calibration((0.2, 0.6, 1.0), (0.1, 0.5, 0.9))


@pytest.mark.parametrize(("raw", "right"), [(0.0, 0.1), (0.2, 0.1), (0.4, 0.3), (0.6, 0.5), (0.8, 0.7), (1.0, 0.9)])
def test_between_two_points_the_curve_is_straight_and_beyond_them_flat(raw: float, right: float) -> None:
    assert CURVE(raw) == pytest.approx(right)


@given(st.floats(0, 1), st.floats(0, 1))
def test_more_confidence_is_never_worth_less(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert CURVE(low) <= CURVE(high)
    assert AS_IT_IS(one) == pytest.approx(one)


@pytest.mark.parametrize(
    ("raw", "right"),
    [((0.0,), (1.0,)), ((0.5, 0.2), (0.1, 0.2)), ((0.1, 0.2), (0.9, 0.2)), ((0.0, 1.0), (0.0, 1.5)), ((), ())],
)
def test_what_is_no_rising_curve_is_refused(raw: tuple[float, ...], right: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="rising"):
        Calibration(raw, right)


def test_a_model_without_the_file_keeps_its_figures_and_a_damaged_file_says_so(tmp_path: Path) -> None:
    assert read_calibration(tmp_path) is AS_IT_IS
    (tmp_path / FILE).write_text(json.dumps({"of": "", "raw": [0, 1], "right": [0.2, 0.8]}), encoding="utf-8")
    assert read_calibration(tmp_path)(1.0) == pytest.approx(0.8)
    for damaged in ("{", '{"raw": [0, 1]}', '{"raw": [1, 0], "right": [0, 1]}', "[]"):
        (tmp_path / FILE).write_text(damaged, encoding="utf-8")
        with pytest.raises(ModelUnusable, match=FILE):
            read_calibration(tmp_path)


class StubKaldi:
    """Has heard two words, whatever is said to it."""

    def FinalResult(self) -> str:
        words = [
            {"word": "ten", "start": 0.1, "end": 0.4, "conf": 0.6},
            {"word": "volts", "start": 0.5, "end": 0.9, "conf": 1.0},
        ]
        return json.dumps({"result": words})


def test_words_carry_the_calibrated_figure() -> None:
    kaldi: Any = StubKaldi()
    (heard,) = VoskRecogniser(kaldi, None, "r1", EndRule(), None, CURVE).finish()
    assert [word.confidence for word in heard.words] == pytest.approx([0.5, 0.9])


@pytest.mark.parametrize("layout", ["am/final.mdl", "final.mdl"])
def test_a_curve_of_other_weights_is_not_taken(tmp_path: Path, layout: str) -> None:
    (tmp_path / layout).parent.mkdir(exist_ok=True)
    (tmp_path / layout).write_bytes(b"these weights")
    told = {"of": weights_of(tmp_path), "raw": [0, 1], "right": [0.2, 0.8]}
    (tmp_path / FILE).write_text(json.dumps(told), encoding="utf-8")
    assert read_calibration(tmp_path)(1.0) == pytest.approx(0.8)
    (tmp_path / layout).write_bytes(b"other weights")
    assert read_calibration(tmp_path) is AS_IT_IS
