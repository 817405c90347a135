"""The listener that replays what was once heard behaves as a real one does: in time, in order, nothing lost."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from journal.domain.speech import Hypothesis, Utterance, Word
from journal.errors import BadInput
from journal.hear.audio import SAMPLE_RATE
from journal.hear.scripted import DELAY, ScriptedRecogniser, read_heard, write_heard

HEARD = (
    Utterance(
        "r2",
        0,
        (Word("suction", 1.0, 1.5, 0.9), Word("forty", 1.5, 2.0, 0.4)),
        (Hypothesis((Word("suction", 1.0, 1.5, 0.9), Word("fourteen", 1.5, 2.0, 0.0)), 12.5),),
    ),
    Utterance("r2", 1, (Word("[unk]", 4.0, 4.5, 0.3),)),
)


def seconds(count: float) -> np.ndarray:
    return np.zeros(round(count * SAMPLE_RATE), dtype=np.int16)


def test_utterances_end_when_their_words_and_the_pause_have_been_heard() -> None:
    listener = ScriptedRecogniser(reversed(HEARD))
    assert listener.accept(seconds(1.6)) == []
    assert listener.partial() == ("suction",)
    assert listener.accept(seconds(2.0 + DELAY - 1.6 - 0.01)) == []
    assert listener.partial() == ("suction", "forty")
    assert listener.accept(seconds(0.01)) == [HEARD[0]]
    assert listener.partial() == ()
    assert listener.finish() == [HEARD[1]]
    assert listener.finish() == []


def test_one_long_chunk_ends_them_all() -> None:
    assert ScriptedRecogniser(HEARD).accept(seconds(10)) == list(HEARD)


def test_what_is_written_is_read_back(tmp_path: Path) -> None:
    path = tmp_path / "heard.json"
    write_heard(path, HEARD)
    read = read_heard(path)
    assert read == HEARD
    assert [utterance.alternatives for utterance in read] == [utterance.alternatives for utterance in HEARD]


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"utterances": [{"words": [["one", 2, 1, 1]]}]}'])
def test_what_is_no_heard_json_is_one_sentence(tmp_path: Path, text: str) -> None:
    path = tmp_path / "heard.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput, match="no heard"):
        read_heard(path)
    with pytest.raises(BadInput, match="no such file"):
        read_heard(tmp_path / "gone.json")
