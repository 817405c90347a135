"""The second listener: the same pauses, guards against invented text, weights verified."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from journal.domain.speech import Utterance, Word
from journal.errors import ModelUnusable
from journal.hear import second_listener
from journal.hear.audio import SAMPLE_RATE
from journal.hear.second_listener import MARGIN_SECONDS, SecondListener, cut, find_whisper


@dataclass
class Segment:
    text: str
    avg_logprob: float = -0.2
    no_speech_prob: float = 0.01


class StubWhisper:
    """Says what it is told to, whatever it hears."""

    def __init__(self, *segments: Segment) -> None:
        self.segments = segments
        self.heard: list[int] = []

    def transcribe(self, samples: Any, **_: Any) -> tuple[list[Segment], None]:
        self.heard.append(len(samples))
        return list(self.segments), None


def listener(*segments: Segment) -> SecondListener:
    made = SecondListener.__new__(SecondListener)
    made.name, made.prompt, made._model = "stub", "Common to run ohms. Superheat.", StubWhisper(*segments)
    return made


def spoken(start: float, end: float, index: int = 0) -> Utterance:
    return Utterance("r1", index, (Word("one", start, end),))


SOUND = np.zeros(SAMPLE_RATE, dtype=np.int16)


def test_words_are_spread_over_the_utterance() -> None:
    heard = listener(Segment(" Common to run 1.4.")).hear(SOUND, spoken(10.0, 12.0))
    assert heard is not None
    assert heard.text == "Common to run 1.4."
    assert (heard.start, heard.end) == (10.0, 12.0)
    assert heard.heard_by == second_listener.NAME


@pytest.mark.parametrize(
    "segment",
    [
        Segment("Thank you for watching.", no_speech_prob=0.9),
        Segment("mumble mumble", avg_logprob=-1.5),
        Segment("Common to run ohms"),
        Segment("one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen"),
        Segment("   "),
    ],
    ids=["silence", "unsure", "the prompt itself", "faster than speech", "nothing"],
)
def test_invented_text_is_dropped(segment: Segment) -> None:
    assert listener(segment).hear(SOUND, spoken(10.0, 11.0)) is None


def near(found: int, expected: int) -> bool:
    """Within one step: samples pass through floating point."""
    return abs(int(found) - int(expected)) <= 1


def test_each_utterance_is_cut_with_its_margin(tmp_path: Path) -> None:
    path = tmp_path / "ramp.wav"
    ramp = (np.arange(10 * SAMPLE_RATE) // 8).astype(np.int16)  # the value tells the place
    soundfile.write(path, ramp, SAMPLE_RATE)
    utterances = [spoken(1.0, 2.0), spoken(2.2, 3.0, 1), spoken(9.5, 9.9, 2)]
    pieces = {u.index: samples for u, samples in cut(path, utterances)}
    assert near(pieces[0][0], round((1.0 - MARGIN_SECONDS) * SAMPLE_RATE) // 8)
    assert near(pieces[0][-1], (round(2.1 * SAMPLE_RATE) - 1) // 8), "half the pause to the next utterance, no more"
    assert near(pieces[1][0], round(2.1 * SAMPLE_RATE) // 8)
    assert near(pieces[2][-1], ramp[-1]), "the end of the recording"


def test_altered_weights_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("config.json", "model.bin", "tokenizer.json", "vocabulary.txt"):
        (tmp_path / name).write_bytes(b"not the weights")
    monkeypatch.setattr(second_listener, "_carried_by", lambda module: tmp_path)
    with pytest.raises(ModelUnusable, match=r"config\.json is not the file"):
        find_whisper()
    (tmp_path / "config.json").unlink()
    with pytest.raises(ModelUnusable, match=r"config\.json is missing"):
        find_whisper()


def test_without_the_package_there_is_none_and_a_wrong_folder_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(second_listener, "_carried_by", lambda module: None)
    assert find_whisper() is None
    with pytest.raises(ModelUnusable, match="no whisper folder"):
        find_whisper(str(tmp_path))
