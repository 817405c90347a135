"""A listener that replays what was once heard: for tests and the demo, without a model.

``heard.json`` holds the utterances of one recording::

    {"recording": "r1", "heard_by": "vosk", "utterances": [
      {"words": [["common", 1.2, 1.6, 0.98], ...],            text, start, end in seconds, confidence
       "alternatives": [{"score": 12.5, "words": [...]}]}]}
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from journal.domain.speech import Hypothesis, Utterance, Word
from journal.errors import BadInput
from journal.hear.audio import SAMPLE_RATE
from journal.hear.recogniser import Whole

DELAY = 1.0
"""Seconds after its last word that a replayed utterance ends, as with a real listener."""


class ScriptedRecogniser:
    """Ends each utterance once so many samples were accepted as its words need; what they sound like is ignored."""

    def __init__(self, utterances: Iterable[Utterance]) -> None:
        self._waiting = sorted(utterances, key=lambda utterance: utterance.index)
        self._heard = 0

    def accept(self, chunk: NDArray[np.int16]) -> list[Utterance]:
        self._heard += len(chunk)
        ended = []
        while self._waiting and self._waiting[0].end + DELAY <= self._seconds:
            ended.append(self._waiting.pop(0))
        return ended

    def partial(self) -> tuple[str, ...]:
        if not self._waiting:
            return ()
        return tuple(word.text for word in self._waiting[0].words if word.end <= self._seconds)

    def end_sooner(self, whole: Whole) -> None:
        """What was once heard ends where it ended."""

    def finish(self) -> list[Utterance]:
        rest, self._waiting = self._waiting, []
        return rest

    @property
    def _seconds(self) -> float:
        return self._heard / SAMPLE_RATE


def read_heard(path: Path) -> tuple[Utterance, ...]:
    """Return the utterances of a ``heard.json``; raises ``BadInput`` when it is none."""
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
        recording, by = told.get("recording", "r1"), told.get("heard_by", "vosk")
        return tuple(
            Utterance(recording, index, _words(one["words"]), _hypotheses(one.get("alternatives", [])), by)
            for index, one in enumerate(told["utterances"])
        )
    except FileNotFoundError:
        raise BadInput(f"{path}: there is no such file; check the name and the folder.") from None
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise BadInput(f"{path}: this is no heard.json ({error}); write it with write_heard.") from error


def write_heard(path: Path, utterances: Iterable[Utterance]) -> None:
    """Write the utterances of one recording so that ``read_heard`` returns their equals."""
    utterances = list(utterances)
    told = {
        "recording": utterances[0].recording if utterances else "r1",
        "heard_by": utterances[0].heard_by if utterances else "vosk",
        "utterances": [
            {
                "words": _told(one.words),
                "alternatives": [{"score": h.score, "words": _told(h.words)} for h in one.alternatives],
            }
            for one in utterances
        ],
    }
    path.write_text(json.dumps(told, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")


def _words(told: list[list[Any]]) -> tuple[Word, ...]:
    return tuple(Word(text, float(start), float(end), float(confidence)) for text, start, end, confidence in told)


def _hypotheses(told: list[dict[str, Any]]) -> tuple[Hypothesis, ...]:
    return tuple(Hypothesis(_words(one["words"]), float(one["score"])) for one in told)


def _told(words: tuple[Word, ...]) -> list[list[str | float]]:
    return [[word.text, word.start, word.end, word.confidence] for word in words]
