"""What both listeners hear of the spoken readings, kept on disk, so that rules can be weighed without hearing again.

Kept as Vosk says it; the model's calibration of confidences is laid on when the rows are read.

``WORK/heard/MODEL/VOICE-CONDITION.jsonl`` has one line a sentence, in the order of ``models.recipe.readings``; a run
that was broken off goes on where it stopped.
"""

from __future__ import annotations

import hashlib
import json
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import soundfile

from journal.cli.hearing import load_second_listener
from journal.domain.speech import Hypothesis, Utterance, Word
from journal.hear.calibration import AS_IT_IS, Calibration, read_calibration
from journal.hear.model_files import find_model
from journal.hear.second_listener import hear_again
from journal.hear.vosk_recogniser import VoskModel, transcribe
from journal.interpret.document import number_words
from models.recipe import readings
from models.recipe.readings import RATE, Line

CONDITIONS: dict[str, float | None] = {"clean": None, "20 dB": 20.0, "10 dB": 10.0, "5 dB": 5.0}
NOISY = {"20 dB": 75, "10 dB": 250, "5 dB": 75}
"""Readings heard of a voice under noise: the first so many, every frame about as often."""

NEAR = 0.15
"""Seconds by which an utterance's ends may differ for the second listener's words to be taken over from a hearing
with another model: it hears 0.3 s of quiet around an utterance."""


@dataclass(frozen=True)
class Heard:
    """One sentence: the truth, the noise it was heard in, and what each listener heard."""

    line: Line
    noise: str
    first: tuple[Utterance, ...]
    second: tuple[Utterance, ...]
    seconds: float
    cpu_first: float
    cpu_second: float | None  # None where it was taken over from a hearing with another model


def name_of(model: str | None) -> str:
    """A folder's name for a model: its own, with the digest of its weights, so that two builds never mix."""
    files = find_model(model)
    weights = next(path for path in (files.path / "am/final.mdl", files.path / "final.mdl") if path.is_file())
    graph = next((path for path in sorted(files.path.rglob("G*.fst"))), weights)
    digest = hashlib.sha256(weights.read_bytes() + graph.read_bytes()).hexdigest()[:8]
    return f"{files.name}-{digest}"


def chosen(work: Path, voice: str, condition: str) -> list[tuple[int, Path, Line]]:
    """The sentences heard under a condition: all when clean, else the first with ``NOISY[condition]`` readings."""
    picked, count = [], 0
    for place, (path, line) in enumerate(readings.load(work, voice)):
        if condition != "clean" and count >= NOISY[condition]:
            break
        count += sum(not truth.optional for truth in line.readings)
        picked.append((place, path, line))
    return picked


def hear(
    work: Path, voice: str, condition: str, model: str | None, *, calibrated: bool = True, anew: bool = True
) -> list[Heard]:
    """Everything heard under a condition; what is not on disk yet is heard now (0.3 s of processor a second).

    Not ``anew`` takes what is on disk; without ``calibrated`` words keep Vosk's own confidence.
    """
    path = work / "heard" / name_of(model) / f"{voice}-{condition.replace(' ', '')}.jsonl"
    path.parent.mkdir(parents=True, exist_ok=True)
    rows = _whole_rows(path)
    todo = chosen(work, voice, condition)
    if anew and len(rows) < len(todo):
        with path.open("a", encoding="utf-8") as out:
            known = _heard_before(path, len(todo))
            for row in _hear(todo[len(rows) :], CONDITIONS[condition], model, known):
                out.write(json.dumps(row) + "\n")
                out.flush()
                rows.append(row)
    curve = read_calibration(find_model(model).path) if calibrated else AS_IT_IS
    return [_heard(row, line, curve) for row, (_, _, line) in zip(rows, todo, strict=False)]


def _whole_rows(path: Path) -> list[dict[str, Any]]:
    """The rows of a file; a last one that was broken off is taken away."""
    kept = path.read_text(encoding="utf-8") if path.exists() else ""
    if kept and not kept.endswith("\n"):
        kept = kept[: kept.rfind("\n") + 1]
        path.write_text(kept, encoding="utf-8")
    return [json.loads(row) for row in kept.splitlines()]


def _heard_before(path: Path, most: int) -> list[list[dict[str, Any]]]:
    """For each sentence what was heard of it with other models: the second listener is the same for all of them."""
    found: list[list[dict[str, Any]]] = [[] for _ in range(most)]
    for other in sorted(path.parents[1].glob(f"*/{path.name}")):
        if other != path:
            for rows, row in zip(found, _whole_rows(other), strict=False):
                rows.append(row)
    return found


def _again(first: list[Utterance], before: list[dict[str, Any]]) -> list[Utterance] | None:
    """What the second listener heard with another model's pauses, where they are the same within ``NEAR`` seconds."""
    for row in before:
        theirs = [_utterance(one, AS_IT_IS) for one in row["first"]]
        if len(theirs) == len(first) and all(
            abs(a.start - b.start) <= NEAR and abs(a.end - b.end) <= NEAR for a, b in zip(first, theirs, strict=True)
        ):
            return [_utterance(one, AS_IT_IS) for one in row["second"]]
    return None


def _hear(
    todo: list[tuple[int, Path, Line]], ratio: float | None, model: str | None, before: list[list[dict[str, Any]]]
) -> Iterator[dict[str, Any]]:
    numbers = number_words()
    listener = VoskModel(
        find_model(model), again=lambda words: any(word.text in numbers for word in words), calibrated=False
    )
    second = load_second_listener("auto")
    assert second is not None, "the second listener is not installed"
    radio = readings.radio() if ratio is not None else []
    with tempfile.TemporaryDirectory() as folder:
        for place, path, _ in todo:
            sound, kind = soundfile.read(path, dtype="float32")[0], "none"
            if ratio is not None:
                sound, kind = readings.in_noise(sound, place, ratio, radio)
                path = Path(folder) / "noisy.wav"
                soundfile.write(path, sound, RATE, subtype="PCM_16")
            begun = time.process_time()
            first = list(transcribe(path, listener))
            between = time.process_time()
            known = _again(first, before[place])
            again = list(hear_again(path, first, second)) if known is None else known
            yield {
                "noise": kind,
                "first": [_told(one) for one in first],
                "second": [_told(one) for one in again],
                "seconds": len(sound) / RATE,
                "cpu": [
                    round(between - begun, 3),
                    None if known is not None else round(time.process_time() - between, 3),
                ],
            }


def _told(one: Utterance) -> dict[str, Any]:
    words = [[w.text, round(w.start, 3), round(w.end, 3), round(w.confidence, 4)] for w in one.words]
    others = [[h.score, [[w.text, w.start, w.end, w.confidence] for w in h.words]] for h in one.alternatives]
    return {"index": one.index, "by": one.heard_by, "words": words, "others": others}


def _heard(row: dict[str, Any], line: Line, curve: Calibration) -> Heard:
    first = tuple(_utterance(one, curve) for one in row["first"])
    second = tuple(_utterance(one, AS_IT_IS) for one in row["second"])
    return Heard(line, row["noise"], first, second, row["seconds"], *row["cpu"])


def _utterance(one: dict[str, Any], curve: Calibration) -> Utterance:
    def word(text: str, start: float, end: float, confidence: float) -> Word:
        return Word(text, start, end, curve(confidence) if confidence else 0.0)

    others = tuple(Hypothesis(tuple(word(*w) for w in words), score) for score, words in one["others"])
    return Utterance("r1", one["index"], tuple(word(*w) for w in one["words"]), others, one["by"])
