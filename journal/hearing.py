"""Recordings, and what everybody who listens heard in them."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from journal.domain.speech import Utterance
from journal.domain.visit import Recording
from journal.errors import BadInput

if TYPE_CHECKING:
    from journal.hear.second_listener import SecondListener
    from journal.hear.vosk_recogniser import VoskModel

#: progress(file, seconds heard so far, seconds in all)
Progress = Callable[[Path, float, float], None]


def hear(
    files: Sequence[Path],
    *,
    model: VoskModel,
    second: SecondListener | None = None,
    first: int = 1,
    started: str | None = None,
    progress: Progress | None = None,
) -> tuple[list[Recording], list[Utterance]]:
    """Hear recordings, named ``r1``, ``r2``... from the number ``first`` on; the second listener's words come last.

    Every file is looked at before the first is heard, so that a bad one costs no time.
    """
    from journal.hear.audio import probe
    from journal.hear.second_listener import hear_again
    from journal.hear.vosk_recogniser import transcribe

    if not files:
        raise BadInput("No recording was named: journal ingest FILE...")
    sounds = [probe(file) for file in files]
    if len({file.resolve() for file in files}) < len(files):
        raise BadInput("The same recording was named twice; name each once.")
    recordings: list[Recording] = []
    utterances: list[Utterance] = []
    again: list[Utterance] = []
    for number, (file, sound) in enumerate(zip(files, sounds, strict=True), start=first):
        name = f"r{number}"
        begun, begun_from = _start_of(file, sound.seconds, started if number == first else None)
        recordings.append(
            Recording(
                name=name,
                file="",
                original_name=file.name,
                sha256=_sha256(file),
                seconds=sound.seconds,
                rate=sound.rate,
                channels=sound.channels,
                model=model.name,
                started=begun,
                started_from=begun_from,
            )
        )
        heard = list(transcribe(file, model, recording=name, progress=_reporter(progress, file, sound.seconds)))
        utterances += heard
        if second:
            again += hear_again(file, heard, second, progress=_reporter(progress, file, sound.seconds))
    return recordings, utterances + again


def _start_of(file: Path, seconds: float, given: str | None) -> tuple[str, str]:
    """The moment a recording began: as given, else its file's last change less its length, marked as inferred."""
    if given:
        return given, "given"
    ended = dt.datetime.fromtimestamp(file.stat().st_mtime, tz=dt.UTC)
    return (ended - dt.timedelta(seconds=seconds)).isoformat(timespec="seconds"), "file"


def _reporter(progress: Progress | None, file: Path, total: float) -> Callable[[float], None] | None:
    if progress is None:
        return None
    return lambda heard: progress(file, min(heard, total), total)


def _sha256(file: Path) -> str:
    with file.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()
