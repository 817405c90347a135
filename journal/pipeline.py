"""The journey of a reading on one page; the command line and the pages both walk it.

    sound -> Utterance -> Interpretation -> agreement of listeners -> doubts of physics -> Judgement -> Visit -> store

``hear``, ``interpret``, ``judge`` and ``keep`` do not know each other; here they are joined, and only here the
doubts of the language stage and those of the physics are merged.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from journal.domain.ids import new_id
from journal.domain.reading import Doubt, Reading
from journal.domain.speech import Utterance
from journal.domain.visit import Equipment, Field, Interpretation, Known, Recording, Visit
from journal.hearing import Progress, hear

if TYPE_CHECKING:
    from journal.hear.second_listener import SecondListener
    from journal.hear.vosk_recogniser import VoskModel
    from journal.judge import Judgement, LimitBook, Surroundings
    from journal.keep import Store


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


def understand(
    utterances: Iterable[Utterance], *, equipment: Sequence[Equipment] = (), rules: Rules, known: Known | None = None
) -> Understanding:
    """Turn words into readings, doubt them, and judge them; sites and customers are chosen from the ``known``.

    Utterances of a second listener (``heard_by`` other than the first utterance's) are interpreted apart and brought
    together with the first's, reading by reading.
    """
    from journal.interpret import interpret
    from journal.interpret.agreement import agree

    listeners: dict[str, list[Utterance]] = {}
    for utterance in utterances:
        listeners.setdefault(utterance.heard_by, []).append(utterance)
    understood, first = Interpretation(), list[Utterance]()
    for position, heard in enumerate(listeners.values()):
        other = interpret(heard, equipment=equipment, known=known)
        understood = agree(understood, other, first, heard) if position else other
        first = first or heard
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
    understanding = understand(utterances, equipment=frame.equipment, rules=rules, known=store.known_names())
    listened_with = (model.name, second.name) if second else (model.name,)
    visit = compose(frame, recordings, utterances, understanding, listened_with=listened_with)
    return store.add_visit(visit, dict(zip((r.name for r in recordings), files, strict=True)))


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
    site, fields = settled(frame.site, said.fields)
    return Visit(
        id=new_id(),
        code="",
        started=first.started if first else frame.started,
        started_from=first.started_from if first else ("given" if frame.started else ""),
        made=_now(),
        title=frame.title,
        technician=frame.technician,
        site=site,
        listened_with=listened_with,
        recordings=tuple(recordings),
        utterances=tuple(utterances),
        equipment=said.equipment,
        readings=said.readings,
        findings=said.findings,
        work=said.work,
        notes=said.notes,
        fields=fields,
        verdicts=judged.verdicts,
        diagnoses=judged.diagnoses,
        cautions=judged.cautions,
    )


def settled(site: str | None, fields: Sequence[Field]) -> tuple[str | None, tuple[Field, ...]]:
    """Return the site a visit has and its named facts: what was typed wins, what was said otherwise is doubted.

    A site that was only like a known one never becomes the visit's; it stays a fact that somebody has to confirm.
    """
    facts = []
    for fact in fields:
        if fact.name == "site" and not fact.doubts:
            if site is None:
                site = fact.value
            elif site.casefold() != fact.value.casefold():
                why = Doubt("other site", f"The visit is at {site}, but '{fact.value}' was said.")
                fact = replace(fact, doubts=(why,))
        facts.append(fact)
    return site, tuple(facts)


def _now() -> str:
    return dt.datetime.now(tz=dt.UTC).isoformat(timespec="seconds")
