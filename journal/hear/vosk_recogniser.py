"""Vosk as a listener; the only import of ``vosk``.

One model a process, one recogniser a recording. The utterance's end is decided here (``hear.endpointer``), not by
Vosk: its own wish to end is one of the inputs. ``Result()`` ends an utterance and keeps the features running, so
nothing is lost between two utterances; word times count from the first sample of the recogniser's life (measured, and
held by a test, across ends of either kind).

Never import ``kaldifst`` in a process that uses this module: the two libraries dead-lock each other.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from journal.domain.speech import Hypothesis, Utterance, Word
from journal.errors import ModelUnusable
from journal.hear.audio import SAMPLE_RATE
from journal.hear.calibration import AS_IT_IS, Calibration, read_calibration
from journal.hear.endpointer import EndRule, PauseMeter
from journal.hear.layouts import VOSK
from journal.hear.model_files import ModelFiles, find_model
from journal.hear.recogniser import UNKNOWN, Whole, hear

STEP = SAMPLE_RATE // 10
"""Samples given to Vosk between two looks at the pause: 0.1 s, however the caller's chunks are cut."""

DITHER = 1.0
"""Standard deviation, in steps of 16 bits, of the noise laid under the sound. Kaldi lays the same noise itself, from a
clock that is different each time; ours is the same each time, so that one recording gives one transcript (with the
model's own `--dither=0`)."""

KEPT_IDLE = 3 * SAMPLE_RATE
"""Samples kept while nobody speaks: more than Vosk's delay and one long word."""

LEAD, TAIL = 0.3, 0.4
"""Seconds of sound before the first and after the last word that the second pass hears."""

AHEAD, LAG = 1.2, 0.3
"""Seconds before the first partial word that a second pass heard ahead begins with, and that it stays behind."""

Worth = Callable[[tuple[Word, ...]], bool]
"""Whether an utterance is worth hearing again for alternatives; the language stage knows, which this one does not.
Words of an utterance still open have no confidence yet: 0."""

UNKNOWN_SPELLINGS = ("<unk>", "<UNK>", "[UNK]", "<unk>_")


class VoskModel:
    """A loaded speech model; make it once and share it between recognisers and threads."""

    def __init__(self, files: ModelFiles, *, again: Worth | None = None, calibrated: bool = True) -> None:
        """Load a model whose files were found by ``find_model``; they are verified first.

        ``again`` says of an utterance's words whether a second pass for alternatives is worth its time (a third of
        the whole); without it every utterance is heard again. Without ``calibrated`` words keep Vosk's own
        confidence. Raises ``ModelUnusable``.
        """
        files.verify()
        if files.kind != VOSK:
            reason = "these are weights of whisper, which hears second only"
            raise ModelUnusable(files.path, reason, f'Name it in the settings: second_listener = "{files.path.name}".')
        import vosk  # 0.1 s and 25 MB that `journal --help` need not pay

        vosk.SetLogLevel(-1)
        self.files = files
        self._again = again
        self._calibration = read_calibration(files.path) if calibrated else AS_IT_IS
        self._vosk = vosk
        try:
            # Only model_path: any other argument makes vosk look on the network.
            self._model = vosk.Model(model_path=str(files.path))
        except Exception as error:  # vosk raises nothing narrower
            remedy = "Fetch the model again and unpack it whole."
            raise ModelUnusable(files.path, "Vosk cannot load it", remedy) from error

    @property
    def name(self) -> str:
        return self.files.name

    def knows(self, word: str) -> bool:
        """Return whether a word is in the model's vocabulary."""
        return bool(self._model.vosk_model_find_word(word) >= 0)

    def recogniser(
        self,
        recording: str = "r1",
        *,
        alternatives: int = 5,
        grammar: tuple[str, ...] | None = None,
        rule: EndRule | None = None,
    ) -> VoskRecogniser:
        """Return a fresh listener for one recording.

        ``alternatives`` is how many other hypotheses each utterance may carry (0: no second pass); ``grammar`` limits
        what can be heard to these phrases (look-ahead models only).
        """
        second = self._kaldi(grammar) if alternatives > 0 else None
        if second is not None:
            second.SetMaxAlternatives(alternatives + 1)
        ends = rule or EndRule()
        return VoskRecogniser(self._kaldi(grammar), second, recording, ends, self._again, self._calibration)

    def _kaldi(self, grammar: tuple[str, ...] | None) -> Any:
        arguments = [self._model, float(SAMPLE_RATE)]
        recogniser = (
            self._vosk.KaldiRecognizer(*arguments, json.dumps(grammar))
            if grammar
            else self._vosk.KaldiRecognizer(*arguments)
        )
        recogniser.SetWords(True)
        return recogniser


def load(name_or_path: str | Path | None = None) -> VoskModel:
    """Find, verify and load a model; ``None`` is the one the journal comes with. Raises ``ModelUnusable``."""
    return VoskModel(find_model(name_or_path))


def transcribe(
    path: Path | str,
    model: VoskModel,
    recording: str = "r1",
    progress: Callable[[float], None] | None = None,
) -> Iterator[Utterance]:
    """Yield what Vosk hears in a recording, with alternatives; otherwise as ``recogniser.hear``."""
    return hear(path, model.recogniser(recording), progress)


class VoskRecogniser:
    """One recording being heard by Vosk; see ``hear.recogniser.Recogniser`` for the contract."""

    def __init__(
        self,
        first: Any,
        second: Any | None,
        recording: str,
        rule: EndRule,
        again: Worth | None = None,
        calibration: Calibration = AS_IT_IS,
    ) -> None:
        self._first = first
        self._second = second
        self._again = again
        self._calibration = calibration
        self._second_heard = 0  # samples the second pass has ever been given: its clock
        self._recording = recording
        self._rule = rule
        self._meter = PauseMeter()
        self._noise = np.random.default_rng(0)
        self._rest = np.empty(0, dtype=np.int16)  # less than a step, waiting for more
        self._kept = np.empty(0, dtype=np.int16)  # what a second pass may need
        self._heard = 0  # samples given to Vosk
        self._index = 0
        self._ended_at = 0.0
        self._asked_since: float | None = None
        self._open_since: float | None = None
        self._changed_at = 0.0
        self._partial: tuple[str, ...] = ()
        self._whole: Whole | None = None
        self._judged: tuple[tuple[str, ...], bool] = ((), False)  # words, and whether they are whole
        self._ahead: tuple[int, int] | None = None  # samples the second pass was given of the open utterance
        self._words_end = 0  # the sample after the last word of the utterance before

    def end_sooner(self, whole: Whole) -> None:
        """Answer sooner, while somebody waits: ``EndRule.whole`` seconds of quiet end what ``whole`` says leaves
        nothing open, and the second pass hears along instead of afterwards."""
        self._whole = whole

    def accept(self, chunk: NDArray[np.int16]) -> list[Utterance]:
        """Hear the next samples, however many; return the utterances that ended within them."""
        samples = np.concatenate((self._rest, chunk))
        whole = len(samples) - len(samples) % STEP
        self._rest = samples[whole:]
        return [one for first in range(0, whole, STEP) for one in self._step(samples[first : first + STEP])]

    def partial(self) -> tuple[str, ...]:
        return self._partial

    def finish(self) -> list[Utterance]:
        """End the recording; return the utterance that was still open, if it has words."""
        rest, self._rest = self._rest, self._rest[:0]
        ended = self._step(rest) if len(rest) else []
        return ended + self._end(self._first.FinalResult())

    def _step(self, samples: NDArray[np.int16]) -> list[Utterance]:
        self._meter.accept(samples)
        samples = _dithered(samples, self._noise)
        asked = bool(self._first.AcceptWaveform(samples.astype("<i2", copy=False).tobytes()))
        self._kept = np.concatenate((self._kept, samples))
        self._heard += len(samples)
        now = self._heard / SAMPLE_RATE
        self._asked_since = (self._asked_since or now) if asked else None
        self._look(now)
        if self._open_since is None:
            self._kept = self._kept[-KEPT_IDLE:]
            # Vosk asks after some seconds of silence too: its memory of the silence is let go.
            return self._end(self._first.Result()) if asked else []
        if self._whole is not None:
            self._hear_ahead()
        ends = self._rule.ends(
            pause=self._meter.pause,
            asked_for=None if self._asked_since is None else now - self._asked_since,
            still=now - self._changed_at,
            length=now - self._open_since,
            spoken=self._meter.last_speech > self._ended_at,
        )
        ends = ends or (self._meter.pause >= self._rule.whole and self._is_whole())
        return self._end(self._first.Result()) if ends else []

    def _is_whole(self) -> bool:
        """Ask about the words of the open utterance, once for the same words."""
        if self._whole is None or not self._partial:
            return False
        if self._judged[0] != self._partial:
            self._judged = (self._partial, self._whole(self._partial))
        return self._judged[1]

    def _hear_ahead(self) -> None:
        """Give the second pass what is being spoken, at most three steps at a time: little is left for the end."""
        if self._second is None or self._open_since is None:
            return
        if self._ahead is None:
            if self._again is not None and not self._again(tuple(Word(text, 0.0, 0.0, 0.0) for text in self._partial)):
                return
            first = max(round((self._open_since - AHEAD) * SAMPLE_RATE), self._words_end, self._heard - len(self._kept))
            self._ahead = (first, first)
        first, last = self._ahead
        self._ahead = (first, self._hear_again(last, min(last + 3 * STEP, self._heard - round(LAG * SAMPLE_RATE))))

    def _hear_again(self, first: int, last: int) -> int:
        """Give samples ``first`` to ``last`` of the recording to the second pass; return where it stands then."""
        base = self._heard - len(self._kept)
        samples = self._kept[max(0, first - base) : max(0, last - base)]
        if not len(samples):
            return first
        assert self._second is not None
        self._second.AcceptWaveform(samples.astype("<i2", copy=False).tobytes())
        self._second_heard += len(samples)
        return first + len(samples)

    def _look(self, now: float) -> None:
        """Take note of what has been heard of the open utterance so far."""
        words = tuple(json.loads(self._first.PartialResult()).get("partial", "").split())
        if words != self._partial:
            self._partial = words
            self._changed_at = now
        if words and self._open_since is None:
            self._open_since = now

    def _end(self, result: str) -> list[Utterance]:
        """Turn Vosk's result into an utterance with alternatives and make ready for the next."""
        words = tuple(
            replace(word, confidence=self._calibration(word.confidence))
            for word in _words(json.loads(result).get("result", []))
        )
        utterances = []
        if words:
            others = self._alternatives(words)
            utterances.append(Utterance(self._recording, self._index, words, others))
            self._index += 1
            self._words_end = round(words[-1].end * SAMPLE_RATE)
        if self._ahead is not None:  # heard ahead of an end without words, or with none worth it
            if self._second is not None:
                self._second.FinalResult()
            self._ahead = None
        self._ended_at = self._meter.last_speech
        self._kept = self._kept[-KEPT_IDLE:]
        self._open_since = self._asked_since = None
        self._partial = ()
        return utterances

    def _worth_hearing_again(self, words: tuple[Word, ...]) -> bool:
        """Where the model has no calibration, its confidences tell nothing and every number is heard again."""
        if self._again is None:
            return True
        if self._calibration is AS_IT_IS:
            words = tuple(replace(word, confidence=0.0) for word in words)
        return self._again(words)

    def _alternatives(self, words: tuple[Word, ...]) -> tuple[Hypothesis, ...]:
        """Hear the ended utterance once more for what else it may have been, if it is worth it."""
        if self._second is None or not self._worth_hearing_again(words):
            return ()
        first = max(self._heard - len(self._kept), round((words[0].start - LEAD) * SAMPLE_RATE))
        heard = self._ahead[1] if self._ahead else first
        shift = (heard - self._second_heard) / SAMPLE_RATE  # between its clock and the recording's
        self._hear_again(heard, round((words[-1].end + TAIL) * SAMPLE_RATE))
        self._ahead = None
        found = json.loads(self._second.FinalResult()).get("alternatives", [])
        said = " ".join(word.text for word in words)
        hypotheses: dict[str, Hypothesis] = {}
        for other in found:
            hypothesis = Hypothesis(_words(other.get("result", []), shift, words), float(other["confidence"]))
            if hypothesis.words and hypothesis.text != said:
                hypotheses.setdefault(hypothesis.text, hypothesis)
        return tuple(sorted(hypotheses.values(), key=lambda h: -h.score))


def _dithered(samples: NDArray[np.int16], noise: np.random.Generator) -> NDArray[np.int16]:
    under = np.rint(noise.normal(0.0, DITHER, len(samples)))
    return np.clip(samples + under, -32768, 32767).astype(np.int16)


def _words(heard: list[dict[str, Any]], shift: float = 0.0, known: tuple[Word, ...] | None = None) -> tuple[Word, ...]:
    """Turn Vosk's list of words into ours, moved by ``shift`` seconds.

    Words of an alternative have no confidence; they take it from the word of the same text at the same place in
    ``known``, else 0.0.
    """
    words = []
    for word in heard:
        text = UNKNOWN if word["word"] in UNKNOWN_SPELLINGS else word["word"]
        start = max(0.0, word["start"] + shift)
        end = max(start, word["end"] + shift)
        confidence = float(word["conf"]) if "conf" in word else _confidence(text, start, end, known or ())
        words.append(Word(text, round(start, 3), round(end, 3), min(1.0, max(0.0, confidence))))
    return tuple(sorted(words, key=lambda w: w.start))


def _confidence(text: str, start: float, end: float, known: tuple[Word, ...]) -> float:
    return max((w.confidence for w in known if w.text == text and w.start < end and start < w.end), default=0.0)
