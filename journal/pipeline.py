"""The journey of a reading on one page; the command line and the pages both walk it.

    sound -> Utterance -> Interpretation -> agreement of listeners -> doubts of physics -> Judgement -> Visit -> store

``hear``, ``interpret``, ``judge`` and ``keep`` do not know each other; here they are joined, and only here the
doubts of the language stage and those of the physics are merged.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from journal.domain.ids import new_id
from journal.domain.reading import Doubt, Reading
from journal.domain.speech import Utterance
from journal.domain.visit import Equipment, Interpretation, Recording, Visit
from journal.errors import BadInput

if TYPE_CHECKING:
    from journal.hear.second_listener import SecondListener
    from journal.hear.vosk_recogniser import VoskModel
    from journal.judge import Judgement, LimitBook, Surroundings
    from journal.keep import Store

#: progress(file, seconds heard so far, seconds in all)
Progress = Callable[[Path, float, float], None]


@dataclass(frozen=True, slots=True)
class Frame:
    """What is known of a visit before a word of it is heard."""

    title: str = ""
    technician: str | None = None
    site: str | None = None
    started: str | None = None  # UTC, ISO 8601
    equipment: tuple[Equipment, ...] = ()


@dataclass(frozen=True, slots=True)
class Rules:
    """What the judging needs to know besides the readings: limits, altitude and date."""

    limits: LimitBook | None = None
    surroundings: Surroundings | None = None


@dataclass(frozen=True, slots=True)
class Understanding:
    """Readings with all their doubts, and what they were judged to mean."""

    interpretation: Interpretation
    judgement: Judgement


def understand(utterances: Iterable[Utterance], *, equipment: Sequence[Equipment] = (), rules: Rules) -> Understanding:
    """Turn words into readings, doubt them, and judge them.

    Utterances of a second listener (``heard_by`` other than the first utterance's) are interpreted apart and brought
    together with the first's, reading by reading.
    """
    from journal.interpret import interpret
    from journal.interpret.agreement import agree

    listeners: dict[str, list[Utterance]] = {}
    for utterance in utterances:
        listeners.setdefault(utterance.heard_by, []).append(utterance)
    understood = Interpretation()
    for position, heard in enumerate(listeners.values()):
        other = interpret(heard, equipment=equipment)
        places = {(utterance.recording, utterance.index) for utterance in heard}
        understood = agree(understood, other, places) if position else other
    return weigh(understood, rules)


def weigh(interpretation: Interpretation, rules: Rules) -> Understanding:
    """Add the doubts of physics to what was understood, and judge it."""
    from journal.judge import judge, plausibility

    readings = merge_doubts(interpretation.readings, plausibility(interpretation.readings, interpretation.equipment))
    interpretation = replace(interpretation, readings=readings)
    extra = {"surroundings": rules.surroundings} if rules.surroundings else {}
    judgement = judge(
        readings,
        interpretation.equipment,
        steps=interpretation.steps,
        findings=interpretation.findings,
        limits=rules.limits,
        **extra,
    )
    return Understanding(interpretation, judgement)


def judge_again(visit: Visit, rules: Rules) -> Judgement:
    """Judge a stored visit as its readings stand now, after corrections; steps of work are found again in its words."""
    from journal.interpret import interpret
    from journal.judge import judge

    listener: dict[str, str] = {}  # of each recording, the first; typed notes are a recording of their own
    for utterance in visit.utterances:
        listener.setdefault(utterance.recording, utterance.heard_by)
    first = [utterance for utterance in visit.utterances if utterance.heard_by == listener[utterance.recording]]
    extra = {"surroundings": rules.surroundings} if rules.surroundings else {}
    return judge(
        visit.readings,
        visit.equipment,
        steps=interpret(first).steps,
        findings=visit.findings,
        limits=rules.limits,
        **extra,
    )


def merge_doubts(readings: Sequence[Reading], more: Mapping[str, tuple[Doubt, ...]]) -> tuple[Reading, ...]:
    """Return the readings with further doubts appended; a doubt of the same code is not said twice."""
    merged = []
    for reading in readings:
        known = {doubt.code for doubt in reading.doubts}
        new = tuple(doubt for doubt in more.get(reading.id, ()) if doubt.code not in known)
        merged.append(replace(reading, doubts=reading.doubts + new) if new else reading)
    return tuple(merged)


def ingest(
    files: Sequence[Path],
    *,
    store: Store,
    model: VoskModel,
    rules: Rules,
    frame: Frame | None = None,
    second: SecondListener | None = None,
    progress: Progress | None = None,
) -> Visit:
    """Hear recordings as one visit, judge it and store it in one short transaction at the end.

    ``second`` hears every utterance again; its words are kept beside the first's.  Raises ``SoundUnreadable``,
    ``StoreUnusable`` and ``ModelUnusable``; in each case the store holds what it held before.
    """
    frame = frame or Frame()
    recordings, utterances = hear(files, model=model, second=second, started=frame.started, progress=progress)
    understanding = understand(utterances, equipment=frame.equipment, rules=rules)
    listened_with = (model.name, second.name) if second else (model.name,)
    visit = compose(frame, recordings, utterances, understanding, listened_with=listened_with)
    return store.add_visit(visit, dict(zip((r.name for r in recordings), files, strict=True)))


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


def compose(
    frame: Frame,
    recordings: Sequence[Recording],
    utterances: Sequence[Utterance],
    understanding: Understanding,
    *,
    listened_with: tuple[str, ...] = (),
) -> Visit:
    """Put a visit together from its parts; the store gives it its short code."""
    said, judged = understanding.interpretation, understanding.judgement
    first = recordings[0] if recordings else None
    return Visit(
        id=new_id(),
        code="",
        started=first.started if first else frame.started,
        started_from=first.started_from if first else ("given" if frame.started else ""),
        made=_now(),
        title=frame.title,
        technician=frame.technician,
        site=frame.site,
        listened_with=listened_with,
        recordings=tuple(recordings),
        utterances=tuple(utterances),
        equipment=said.equipment,
        readings=said.readings,
        findings=said.findings,
        work=said.work,
        notes=said.notes,
        verdicts=judged.verdicts,
        diagnoses=judged.diagnoses,
        cautions=judged.cautions,
    )


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


def _now() -> str:
    return dt.datetime.now(tz=dt.UTC).isoformat(timespec="seconds")
