"""A second listener that fails differently: whisper, through faster-whisper, over the same utterances.

It hears each utterance again, cut at the same pauses, prompted with the trade's language.  It is never believed
alone: a prompt pulls what is not understood towards itself, and whisper may invent text in silence.  The guards
below drop what it says too fast, too unsurely, or out of nothing; what is left goes through the same language stage
and is compared reading by reading.
"""

from __future__ import annotations

import hashlib
import importlib
import importlib.util
import tomllib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from journal.domain.speech import Utterance, Word
from journal.errors import ModelUnusable
from journal.hear.audio import SAMPLE_RATE, chunks
from journal.hear.layouts import WHISPER
from journal.hear.model_files import model_at

NAME = "second"
"""What ``heard_by`` says of this listener."""

MARGIN_SECONDS = 0.3
"""Sound before the first and behind the last word that the first listener heard."""

MOST_WORDS_PER_SECOND = 6.0
"""Fast speech is about 4 words a second; text that comes faster was invented."""

LEAST_MEAN_LOG_PROBABILITY = -1.0
"""Below it whisper itself takes a decoding for failed (its own default threshold)."""

MOST_NO_SPEECH = 0.6
"""Whisper's own threshold for 'there was no speech'."""


@dataclass(frozen=True, slots=True)
class WhisperFolder:
    """A folder with whisper weights for CTranslate2."""

    name: str
    path: Path
    licence: str = ""
    origin: str = ""


class SecondListener:
    """Whisper on the processor, one utterance at a time.  Not safe for two threads at once."""

    def __init__(self, folder: WhisperFolder, *, prompt: str, threads: int = 1) -> None:
        """Load the weights; raises ``ModelUnusable`` when the folder is not what it claims."""
        from faster_whisper import WhisperModel

        self.name = folder.name
        self.prompt = prompt
        try:
            self._model = WhisperModel(
                str(folder.path), device="cpu", compute_type="int8", cpu_threads=threads, local_files_only=True
            )
        except (RuntimeError, ValueError, OSError) as error:
            raise ModelUnusable(folder.path, f"whisper cannot load it ({error})", "Get the folder again.") from error

    def hear(self, samples: NDArray[np.int16], utterance: Utterance) -> Utterance | None:
        """Return what was heard in an utterance's samples, or ``None`` when nothing can be relied on.

        ``samples`` are 16 kHz mono from ``MARGIN_SECONDS`` before the utterance to as much behind it.  The words'
        times are spread over the utterance by their length: whisper's own are costly and the first listener has them.
        """
        segments, _ = self._model.transcribe(
            samples.astype(np.float32) / 32768.0,
            language="en",
            beam_size=5,
            temperature=0.0,
            initial_prompt=self.prompt,
            condition_on_previous_text=False,
            without_timestamps=True,
        )
        kept = [segment for segment in segments if not self._invented(segment)]
        text = " ".join(segment.text for segment in kept).split()
        seconds = max(utterance.end - utterance.start, 0.2)
        if not text or len(text) > MOST_WORDS_PER_SECOND * (seconds + MARGIN_SECONDS):
            return None
        confidence = float(np.exp(np.mean([segment.avg_logprob for segment in kept])))
        words = _spread(text, utterance.start, utterance.start + seconds, min(1.0, confidence))
        return Utterance(utterance.recording, utterance.index, words, heard_by=NAME)

    def _invented(self, segment: Any) -> bool:
        if segment.no_speech_prob > MOST_NO_SPEECH or segment.avg_logprob < LEAST_MEAN_LOG_PROBABILITY:
            return True
        said = segment.text.strip().casefold().rstrip(".")
        return len(said.split()) > 3 and said in self.prompt.casefold()


def hear_again(
    path: Path,
    utterances: Sequence[Utterance],
    listener: SecondListener,
    progress: Callable[[float], None] | None = None,
) -> Iterator[Utterance]:
    """Hear every utterance of a recording again and yield what could be relied on, in order."""
    for utterance, samples in cut(path, utterances):
        heard = listener.hear(samples, utterance)
        if progress:
            progress(utterance.end)
        if heard is not None:
            yield heard


def cut(path: Path, utterances: Sequence[Utterance]) -> Iterator[tuple[Utterance, NDArray[np.int16]]]:
    """Yield each utterance with its samples and a margin, reading the recording once and never holding it whole."""
    waiting = sorted((u for u in utterances if u.words), key=lambda u: u.start)
    held: list[NDArray[np.int16]] = []
    held_from = 0  # the sample that the held sound begins with
    held_to = 0
    stream = chunks(path)
    for position, utterance in enumerate(waiting):
        previous = waiting[position - 1].end if position else 0.0
        following = waiting[position + 1].start if position + 1 < len(waiting) else float("inf")
        first = round(
            max(0.0, utterance.start - MARGIN_SECONDS, (previous + utterance.start) / 2 if position else 0.0)
            * SAMPLE_RATE
        )
        last = round(min(utterance.end + MARGIN_SECONDS, (utterance.end + following) / 2) * SAMPLE_RATE)
        while held_to < last and (chunk := next(stream, None)) is not None:
            held.append(chunk)
            held_to += len(chunk)
        while held and held_from + len(held[0]) <= first:
            held_from += len(held.pop(0))
        sound = np.concatenate(held) if held else np.empty(0, dtype=np.int16)
        yield utterance, sound[max(0, first - held_from) : max(0, last - held_from)]


def find_whisper(name_or_path: str | None = None, own: Path | None = None) -> WhisperFolder | None:
    """Return the whisper folder to use.

    With a name of one the user added to ``own``, or a path: that folder, checked for completeness and, where it has a
    manifest, hash by hash.  Without: the known folder whose package is installed, its hashes compared; ``None`` when
    none is.  Raises ``ModelUnusable`` when a folder is incomplete or altered.
    """
    if name_or_path and (name_or_path not in _known() or (own and (own / name_or_path).is_dir())):
        return _named(name_or_path, own)
    for name, entry in _known().items():
        if name_or_path in (None, name) and (folder := _carried_by(entry["module"])) is not None:
            _verify(name, folder, entry)
            return WhisperFolder(name, folder, entry["licence"], entry["origin"])
    return None


def _named(name_or_path: str, own: Path | None) -> WhisperFolder:
    path = Path(name_or_path).expanduser()
    if own and path.name == name_or_path and (own / name_or_path).is_dir():
        path = own / name_or_path
    if not path.is_dir():
        remedy = "Name the folder that holds model.bin, or one of `journal models`."
        raise ModelUnusable(name_or_path, "there is no such whisper folder", remedy)
    files = model_at(path)
    if files.kind != WHISPER:
        reason = "this is no whisper folder for CTranslate2 (no model.bin)"
        raise ModelUnusable(path, reason, "Name the folder that holds model.bin.")
    files.verify()
    told = files.manifest
    origin = str(told.get("origin", "named in the settings"))
    return WhisperFolder(files.name, path, str(told.get("licence", "")), origin)


@cache
def _known() -> dict[str, dict[str, Any]]:
    text = resources.files("journal.hear").joinpath("second_listener.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def _carried_by(module: str) -> Path | None:
    try:
        if importlib.util.find_spec("faster_whisper") is None:  # its import takes seconds: only who listens pays
            return None
        return Path(str(importlib.import_module(module).get_model_path()))
    except ImportError:
        return None


def _verify(name: str, folder: Path, entry: dict[str, Any]) -> None:
    for file, expected in entry["files"].items():
        path = folder / file
        if not path.is_file():
            raise ModelUnusable(name, f"{file} is missing", f"Install it again: {entry['install']}")
        with path.open("rb") as stream:
            found = hashlib.file_digest(stream, "sha256").hexdigest()
        if found != expected:
            raise ModelUnusable(name, f"{file} is not the file it should be", f"Install it again: {entry['install']}")


def _spread(text: Sequence[str], start: float, end: float, confidence: float) -> tuple[Word, ...]:
    lengths = np.cumsum([0.0] + [len(word) + 1.0 for word in text])
    edges = start + (end - start) * lengths / lengths[-1]
    return tuple(
        Word(word, float(a), float(b), confidence) for word, a, b in zip(text, edges[:-1], edges[1:], strict=True)
    )
