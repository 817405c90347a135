"""What was heard of the readings is kept: torn files go on, another model's hearing lends the second's words."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from journal.domain.speech import Hypothesis, Utterance, Word
from journal.hear.calibration import Calibration
from models.recipe import heard, readings
from models.recipe.readings import Line, Truth


def utterance(start: float, end: float, text: str = "ten", by: str = "vosk", confidence: float = 0.8) -> Utterance:
    other = (Hypothesis((Word("two", start, end, 0.0),), 3.0),) if by == "vosk" else ()
    return Utterance("r1", 0, (Word(text, start, end, confidence),), other, by)


def row(first: Utterance, second: Utterance | None) -> dict[str, Any]:
    again = [heard._told(second)] if second else []
    return {"noise": "none", "first": [heard._told(first)], "second": again, "seconds": 2.0, "cpu": [0.2, 0.4]}


def test_a_row_comes_back_as_it_was_with_the_calibration_laid_on() -> None:
    kept = json.loads(json.dumps(row(utterance(1.0, 1.5), utterance(1.0, 1.5, "10", "second", 0.7))))
    half = Calibration((0.0, 1.0), (0.0, 0.5))
    one = heard._heard(kept, Line("ten volts", ()), half)
    assert one.first == (utterance(1.0, 1.5, confidence=0.4),)
    assert one.first[0].alternatives[0].text == "two"
    assert one.first[0].alternatives[0].words[0].confidence == 0.0
    assert one.second == (utterance(1.0, 1.5, "10", "second", 0.7),)
    assert (one.cpu_first, one.cpu_second) == (0.2, 0.4)


def test_a_file_that_was_broken_off_goes_on_after_its_last_whole_row(tmp_path: Path) -> None:
    path = tmp_path / "joe-clean.jsonl"
    path.write_text('{"noise": "none"}\n{"noise": "h', encoding="utf-8")
    assert heard._whole_rows(path) == [{"noise": "none"}]
    assert path.read_text(encoding="utf-8") == '{"noise": "none"}\n'
    assert heard._whole_rows(tmp_path / "absent.jsonl") == []


@pytest.mark.parametrize(("start", "end", "taken"), [(1.0, 1.5, True), (1.1, 1.6, True), (1.0, 1.8, False)])
def test_words_of_the_second_listener_are_taken_over_only_where_the_pauses_are_the_same(
    start: float, end: float, taken: bool
) -> None:
    before = [row(utterance(1.0, 1.5), utterance(1.0, 1.5, "10", "second"))]
    found = heard._again([utterance(start, end)], before)
    assert (found is not None) == taken
    assert heard._again([utterance(1.0, 1.5), utterance(1.6, 2.0)], before) is None


def test_other_models_are_looked_at_by_voice_and_condition(tmp_path: Path) -> None:
    for model in ("one-1", "two-2"):
        (tmp_path / model).mkdir()
    (tmp_path / "one-1" / "joe-clean.jsonl").write_text('{"noise": "a"}\n{"noise": "b"}\n', encoding="utf-8")
    (tmp_path / "one-1" / "rms-clean.jsonl").write_text('{"noise": "c"}\n', encoding="utf-8")
    found = heard._heard_before(tmp_path / "two-2" / "joe-clean.jsonl", 3)
    assert found == [[{"noise": "a"}], [{"noise": "b"}], []]


def test_under_noise_the_first_so_many_readings_are_heard(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    lines = [
        (tmp_path / f"{n}.flac", Line("x", (Truth("1", "volt", ()), Truth("2", "minute", (), True)))) for n in range(9)
    ]
    monkeypatch.setattr(readings, "load", lambda work, voice: lines)
    monkeypatch.setattr(heard, "NOISY", {"10 dB": 4})
    assert len(heard.chosen(tmp_path, "joe", "clean")) == 9
    assert [place for place, _, _ in heard.chosen(tmp_path, "joe", "10 dB")] == [0, 1, 2, 3]
