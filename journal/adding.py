"""What is added to a stored visit: later recordings and typed notes, understood, doubted and judged with the rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from journal.domain.reading import Doubt
from journal.domain.speech import Utterance, utterance_of
from journal.domain.visit import Correction, Field, Known, Recording, Visit
from journal.errors import BadInput
from journal.hearing import Progress, hear
from journal.keep import typed as checks
from journal.keep.corrections import current, plan
from journal.keep.ledger import now
from journal.pipeline import Rules, judge_again, merge_doubts, settled, understand

if TYPE_CHECKING:
    from journal.hear.second_listener import SecondListener
    from journal.hear.vosk_recogniser import VoskModel
    from journal.keep import Store

NOTE = "note"  # the recording that typed lines belong to


def add_to_visit(
    code: str,
    files: Sequence[Path] = (),
    lines: Sequence[str] = (),
    *,
    store: Store,
    rules: Rules,
    by: str,
    model: VoskModel | None = None,
    second: SecondListener | None = None,
    progress: Progress | None = None,
) -> Visit:
    """Hear recordings and read typed lines into a stored visit, judge it again, and return it as it was written.

    Each line is an utterance.  What is new is doubted in the light of everything the visit holds.  ``model`` is needed
    for recordings.  Raises as ``Store.extend`` and ``hearing.hear`` do; then the visit is as it was.
    """
    visit = current(store.visit(code))
    recordings: list[Recording] = []
    utterances: list[Utterance] = typed(visit, lines)
    if files:
        if model is None:
            raise BadInput("A recording needs a speech model to be heard.")
        known = {recording.sha256: recording.name for recording in visit.recordings}
        recordings, heard = hear(files, model=model, second=second, first=_next(visit), progress=progress)
        for file, recording in zip(files, recordings, strict=True):
            if recording.sha256 in known:
                raise BadInput(f"{file.name} is in the visit already, as {known[recording.sha256]}.")
        utterances = heard + utterances
    if not utterances and not recordings:
        raise BadInput("Nothing was given to add: name a recording or a text, or type a line.")
    more = _understood(visit, utterances, rules, store.known_names(), by)
    more = replace(more, recordings=tuple(recordings), utterances=tuple(utterances))
    sounds = dict(zip((recording.name for recording in recordings), files, strict=True))
    return store.extend(visit.code, more, sounds, by=by, judge=lambda whole: judge_again(whole, rules))


def add_by_hand(
    code: str, line: str, moment: tuple[str, float] | None, *, store: Store, rules: Rules, by: str, why: str
) -> Visit:
    """Add the readings that a typed line tells, with the moment they belong to (recording, seconds); judge again.

    The line itself is no part of the narration.  Raises ``BadInput`` when it tells no reading, and as
    ``Store.add_reading`` does.
    """
    visit = current(store.visit(code))
    said = understand([utterance_of(line, NOTE)], equipment=visit.equipment, rules=rules).interpretation
    readings = [reading for reading in said.readings if not reading.withdrawn]
    if not readings:
        raise BadInput(f"No reading is understood in '{line[:60]}'; write it as: common to run 1.4 ohms.")
    for reading in readings:
        one = replace(reading, evidence=None)
        visit = store.add_reading(
            visit.id, one, by=by, why=why, moment=moment, judge=lambda whole: judge_again(whole, rules)
        )
    return visit


def typed(visit: Visit, lines: Sequence[str]) -> list[Utterance]:
    """Return typed lines as utterances that follow the notes a visit has.  Raises ``BadInput`` for what is no line."""
    begun = [utterance.index for utterance in visit.utterances if utterance.recording == NOTE]
    written = [checks.line("A typed line", line, checks.TEXT) for line in lines if line.strip()]
    return [utterance_of(line, NOTE, index) for index, line in enumerate(written, start=max(begun, default=-1) + 1)]


def _understood(visit: Visit, utterances: Sequence[Utterance], rules: Rules, known: Known, by: str) -> Visit:
    """Return a visit that holds only what the new words say."""
    from journal.judge import plausibility

    said = understand(utterances, equipment=visit.equipment, rules=rules, known=known).interpretation
    doubts = plausibility((*visit.readings, *said.readings), said.equipment or visit.equipment)
    new = {reading.id for reading in said.readings}
    readings = merge_doubts(said.readings, {id: why for id, why in doubts.items() if id in new})
    site, fields = settled(visit.site, said.fields)
    return Visit(
        visit.id,
        visit.code,
        corrections=_site_told(visit, site, by),
        fields=_new_facts(visit, fields),
        equipment=said.equipment,
        readings=readings,
        findings=said.findings,
        work=said.work,
        notes=said.notes,
    )


def _new_facts(visit: Visit, facts: Sequence[Field]) -> tuple[Field, ...]:
    """Facts the record does not have; one it has otherwise is kept with a doubt, nothing replaces what is there."""
    held = {(fact.name, fact.equipment): fact.value for fact in visit.fields}
    new = []
    for fact in facts:
        before = held.get((fact.name, fact.equipment))
        if before is not None and before.casefold() != fact.value.casefold():
            why = Doubt("differs", f"The record has '{before}' already; '{fact.value}' was said later.")
            new.append(replace(fact, doubts=(*fact.doubts, why)))
        elif before is None:
            new.append(fact)
    return tuple(new)


def _site_told(visit: Visit, site: str | None, by: str) -> tuple[Correction, ...]:
    """A visit without a site gets the known one that was said."""
    if not site or visit.site:
        return ()
    return plan(visit, visit.id, {"site": site}, by=by, why="said in the visit", at=now())


def _next(visit: Visit) -> int:
    numbers = [int(r.name[1:]) for r in visit.recordings if r.name[:1] == "r" and r.name[1:].isdigit()]
    return max(numbers, default=0) + 1
