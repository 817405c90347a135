"""While somebody waits: words that leave nothing open end after a shorter pause, and the second pass hears along."""

from __future__ import annotations

import pytest

from journal.domain.speech import Utterance
from journal.hear.audio import SAMPLE_RATE
from journal.hear.endpointer import EndRule
from journal.hear.vosk_recogniser import STEP, VoskRecogniser
from tests.hear.test_vosk_recogniser import StubKaldi, StubSecond, ends, sound, times


class Noting(StubSecond):
    """Keeps how much it was given at a time."""

    def __init__(self) -> None:
        super().__init__()
        self.given: list[int] = []

    def AcceptWaveform(self, data: bytes) -> bool:
        self.given.append(len(data) // 2)
        return super().AcceptWaveform(data)


def test_whole_words_end_after_a_short_pause_and_open_ones_do_not() -> None:
    samples = sound(("", 1), ("speech", 1), ("", 3), noise=1e-3)
    when = {}
    for whole in (True, False):
        listener = VoskRecogniser(StubKaldi(), None, "r1", EndRule())
        listener.end_sooner(lambda words, whole=whole: whole)  # type: ignore[misc]
        ((when[whole], _),) = ends(listener, samples)
    assert when[True] == pytest.approx(2.0 + EndRule().whole, abs=0.25)
    assert when[False] >= 2.0 + EndRule().agreed


def test_an_open_hesitation_is_not_cut_though_the_end_would_be_whole() -> None:
    """'six point ... five ohms': what stands before the pause is not whole, so the pause does not end it."""
    samples = sound(("", 1), ("speech", 1), ("", 0.5), ("speech", 1), ("", 3), noise=1e-3)
    listener = VoskRecogniser(StubKaldi(), None, "r1", EndRule())
    listener.end_sooner(lambda words: len(words) == 2)
    assert [len(utterance.words) for _, utterance in ends(listener, samples)] == [2]


def test_the_same_words_are_asked_about_once() -> None:
    asked: list[tuple[str, ...]] = []
    listener = VoskRecogniser(StubKaldi(), None, "r1", EndRule())

    def whole(words: tuple[str, ...]) -> bool:
        asked.append(words)
        return False

    listener.end_sooner(whole)
    ends(listener, sound(("", 1), ("speech", 1), ("", 3), noise=1e-3))
    assert asked == [("word",)]


def heard(along: bool, second: Noting) -> list[Utterance]:
    listener = VoskRecogniser(StubKaldi(), second, "r1", EndRule())
    if along:
        listener.end_sooner(lambda words: False)
    samples = sound(("", 5), ("speech", 3), ("", 6), ("speech", 2), ("", 3), noise=1e-4)
    return [utterance for _, utterance in ends(listener, samples)]


def test_hearing_along_gives_the_same_alternatives_with_little_left_for_the_end() -> None:
    along, after = Noting(), Noting()
    ours, theirs = heard(True, along), heard(False, after)
    assert times(ours) == times(theirs) == [5.0, 14.0]
    for one, other in zip(ours, theirs, strict=True):
        assert [a.text for a in one.alternatives] == [a.text for a in other.alternatives] == ["herd", "bird"]
        for a, b in zip(one.alternatives, other.alternatives, strict=True):
            assert a.words[0].start == pytest.approx(b.words[0].start, abs=0.05)
            assert a.words[0].end == pytest.approx(b.words[0].end, abs=0.05)
    assert max(along.given) <= 3 * STEP
    assert max(after.given) > 3 * SAMPLE_RATE


def test_what_was_heard_along_and_is_not_worth_it_leaves_no_trace() -> None:
    second = Noting()
    listener = VoskRecogniser(StubKaldi(), second, "r1", EndRule(), lambda words: not any(word.end for word in words))
    listener.end_sooner(lambda words: False)
    found = ends(listener, sound(("", 1), ("speech", 1), ("", 3), noise=1e-4))
    assert [utterance.alternatives for _, utterance in found] == [()]
    assert second.heard > 0
    assert second.words == []
