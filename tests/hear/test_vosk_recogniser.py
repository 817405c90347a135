"""When an utterance ends and what becomes of its words, with a stand-in for the engine that never asks to end.

The stand-in hears every loud stretch as one word and holds the utterance open for ever, as the engine may after an
unknown word; so what is tested is our own part: the ends, the second pass, and that nothing grows with silence.
"""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from journal.domain.speech import Utterance
from journal.hear.audio import SAMPLE_RATE
from journal.hear.endpointer import EndRule
from journal.hear.vosk_recogniser import KEPT_IDLE, STEP, VoskRecogniser
from tests.hear.test_endpointer import syllables

LOUD = 1000


class StubKaldi:
    """One word for each stretch of loud sound that a pause of 0.3 s ends; times count from its first sample."""

    def __init__(self, asks: bool = False) -> None:
        self.asks = asks
        self.heard = 0
        self.longest = 0
        self.words: list[list[float]] = []

    def AcceptWaveform(self, data: bytes) -> bool:
        samples = np.frombuffer(data, dtype="<i2")
        self.longest = max(self.longest, len(samples))
        for at in np.flatnonzero(np.abs(samples.astype(int)) > LOUD) + self.heard:
            now = at / SAMPLE_RATE
            if not self.words or now - self.words[-1][1] > 0.3:
                self.words.append([now, now])
            self.words[-1][1] = now
        self.heard += len(samples)
        return self.asks

    def PartialResult(self) -> str:
        return json.dumps({"partial": " ".join("word" for _ in self.words)})

    def Result(self) -> str:
        words, self.words = self.words, []
        return json.dumps({"result": [{"word": "word", "start": a, "end": b, "conf": 0.5} for a, b in words]})

    FinalResult = Result


class StubSecond(StubKaldi):
    """Thinks that what it hears was said otherwise, twice with the same words."""

    def FinalResult(self) -> str:
        words, self.words = self.words, []

        def told(text: str, score: float) -> dict[str, Any]:
            return {"confidence": score, "result": [{"word": text, "start": a, "end": b} for a, b in words]}

        return json.dumps(
            {"alternatives": [told("word", 9.0), told("bird", 7.0), told("herd", 8.0), told("bird", 6.0)]}
        )


def sound(*parts: tuple[str, float], noise: float) -> NDArray[np.int16]:
    pieces = [
        syllables(length, seed) if kind == "speech" else np.zeros(round(length * SAMPLE_RATE))
        for seed, (kind, length) in enumerate(parts)
    ]
    whole = np.concatenate(pieces)
    whole = whole + np.random.default_rng(5).normal(0, noise, len(whole))
    return np.clip(whole * 32767, -32767, 32767).astype(np.int16)


def ends(listener: VoskRecogniser, samples: NDArray[np.int16]) -> list[tuple[float, Utterance]]:
    """Every utterance with the second it was handed on."""
    found = []
    for first in range(0, len(samples), STEP):
        ended = listener.accept(samples[first : first + STEP])
        found += [((first + STEP) / SAMPLE_RATE, utterance) for utterance in ended]
    return found


def times(utterances: list[Utterance]) -> list[float]:
    return [round(word.start, 1) for utterance in utterances for word in utterance.words]


@pytest.mark.parametrize("noise", [1e-4, 1e-3, 5e-3], ids=["quiet", "room", "fan"])
def test_an_utterance_the_engine_holds_open_ends_within_a_second_and_a_half(noise: float) -> None:
    samples = sound(("", 2), ("speech", 2), ("", 3), ("speech", 1), ("", 3), noise=noise)
    found = ends(VoskRecogniser(StubKaldi(), None, "r1", EndRule()), samples)
    assert [utterance.index for _, utterance in found] == [0, 1]
    for (when, utterance), (begun, over) in zip(found, [(2.0, 4.0), (7.0, 8.0)], strict=True):
        assert over <= when <= over + 1.5
        assert utterance.start == pytest.approx(begun, abs=0.1)
        assert utterance.end == pytest.approx(over, abs=0.2)


def test_a_hesitation_of_half_a_second_does_not_split_even_when_the_engine_wants_to() -> None:
    samples = sound(("", 1), ("speech", 1), ("", 0.5), ("speech", 1), ("", 3), noise=1e-3)
    for asks in (False, True):
        rule = EndRule(insisted=9.0)  # the engine's insisting is tried by itself in test_endpointer
        found = ends(VoskRecogniser(StubKaldi(asks), None, "r1", rule), samples)
        assert [len(utterance.words) for _, utterance in found] == [2]


def test_chunks_of_any_size_are_heard_the_same() -> None:
    samples = sound(("", 1), ("speech", 1), ("", 2), ("speech", 1), ("", 1), noise=1e-3)
    heard = []
    for size in (160, 1600, 4000, 31_999, len(samples)):
        listener = VoskRecogniser(StubKaldi(), StubSecond(), "r1", EndRule())
        utterances = [u for at in range(0, len(samples), size) for u in listener.accept(samples[at : at + size])]
        utterances += listener.finish()
        heard.append([(u.words, u.alternatives) for u in utterances])
    assert len(heard[0]) == 2
    assert all(one == heard[0] for one in heard)


def test_alternatives_stand_at_the_same_seconds_best_first_and_once_each() -> None:
    samples = sound(("", 5), ("speech", 1), ("", 6), ("speech", 1), ("", 3), noise=1e-4)
    listener = VoskRecogniser(StubKaldi(), StubSecond(), "r1", EndRule())
    found = [utterance for _, utterance in ends(listener, samples)]
    assert times(found) == [5.0, 12.0]
    for utterance in found:
        assert [other.text for other in utterance.alternatives] == ["herd", "bird"]
        for other in utterance.alternatives:
            assert other.words[0].start == pytest.approx(utterance.start, abs=0.05)
            assert other.words[0].end == pytest.approx(utterance.end, abs=0.05)


def test_the_second_pass_hears_only_what_is_worth_it() -> None:
    samples = sound(("", 1), ("speech", 1), ("", 2), ("speech", 1), ("", 2), noise=1e-4)
    second = StubSecond()
    listener = VoskRecogniser(StubKaldi(), second, "r1", EndRule(), lambda words: words[0].start > 3)
    found = [utterance for _, utterance in ends(listener, samples)]
    assert [len(utterance.alternatives) for utterance in found] == [0, 2]
    assert times(found) == [1.0, 4.0]
    assert second.heard < 2.5 * SAMPLE_RATE


def test_ten_minutes_of_silence_are_not_kept() -> None:
    first = StubKaldi()
    listener = VoskRecogniser(first, StubSecond(), "r1", EndRule())
    silence = np.zeros(SAMPLE_RATE, dtype=np.int16)
    assert not any(listener.accept(silence) for _ in range(600))
    assert first.heard == 600 * SAMPLE_RATE
    assert first.longest == STEP
    assert len(listener._kept) == KEPT_IDLE
    samples = sound(("speech", 1), ("", 2), noise=1e-4)
    assert times([utterance for _, utterance in ends(listener, samples)]) == [600.0]
