"""Makes the page of a visit.

The reader decides what is on it: the customer's copy has no words of the narration, no sound, no note that is not
meant for a customer unless they are released, and of the cautions only the hazards left behind.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from itertools import groupby

from journal.domain.reading import Phase, Reading, Role
from journal.domain.speech import Utterance
from journal.domain.verdict import Outcome, Verdict
from journal.domain.visit import Finding, Visit, WorkDone
from journal.errors import BadInput
from journal.keep.learning import Suggestion
from journal.present import wording
from journal.present.completeness import Gaps, missing_in
from journal.present.compose_frame import attachment_text, blanked_text, machines_of, of_the_visit, people_of
from journal.present.compose_history import history_of
from journal.present.compose_verdicts import causes_of, cautions_of, left_behind, verdict_line, worst_first
from journal.present.page import RELEASES, Audience, Heard, Moment, Page, Reader, ReadingLine, Said, VerdictLine
from journal.present.record_fields import labelled

#: topics of notes a customer may read; anything else is internal
CUSTOMER_TOPICS = ("complaint", "conclusion", "recommendation", "follow-up", "follow up", "how it was left")
FOLLOW_UP_TOPICS = ("conclusion", "recommendation", "follow-up", "follow up")
NOT_UNDERSTOOD = "[unk]"  # what the recogniser writes for a word it does not know
MOST_OTHERS = 5  # other values shown beside a doubtful one; the rest is counted


def page_of(
    visit: Visit,
    audience: Audience = "office",
    *,
    released: Collection[str] = (),
    suggestions: Sequence[Suggestion] = (),
    head: str = "",
) -> Page:
    """Return the page of a visit as it stands (``keep.current``) for one audience.

    ``released``: what a customer's copy holds besides (``page.RELEASES``); ``suggestions``: what earlier corrections
    teach, shown beside the readings; ``head``: the digest of the store.  Raises ``BadInput`` for an unknown release.
    """
    if unknown := sorted(set(released) - set(RELEASES)):
        raise BadInput(f"'{unknown[0]}' cannot be released; these can: {', '.join(RELEASES)}.")
    reader = Reader(audience, frozenset(released))
    customer = reader.customer
    drawn = [_visit_line(reading, n, visit, reader, suggestions) for n, reading in enumerate(visit.readings, start=1)]
    lines = {line.id: line for line in drawn}
    kept = [
        (reading, line)
        for reading, line in zip(visit.readings, drawn, strict=True)
        if not (customer and (reading.withdrawn or reading.role is Role.EXPECTED))
    ]
    on_plate = [(r, line) for r, line in kept if r.role is Role.NAMEPLATE]
    taken = [(r, line) for r, line in kept if r.role is not Role.NAMEPLATE]
    judged = [verdict_line(verdict, n, visit, lines, customer) for n, verdict in enumerate(visit.verdicts, start=1)]
    verdicts = worst_first(judged)
    gaps = Gaps() if customer else missing_in(visit)
    return Page(
        audience=audience,
        code=visit.code,
        title=visit.title or "Service visit",
        when=wording.moment_text(visit.started)
        + (" (from the recording's file)" if visit.started_from == "file" and not customer else ""),
        people=people_of(visit, customer),
        status=visit.status,
        complaint=_notes(visit, ("complaint",), reader),
        machines=machines_of(visit, on_plate, customer),
        found=tuple(line for r, line in taken if r.phase is Phase.AS_FOUND),
        findings=tuple(_finding(finding, reader) for finding in visit.findings),
        verdicts=tuple(line for line in verdicts if line.outcome != Outcome.UNDETERMINED.value),
        causes=causes_of(visit, customer),
        work=tuple(_work(work, reader) for work in visit.work if work.done),
        left=tuple(line for r, line in taken if r.phase is Phase.AS_LEFT),
        notes=_other_notes(visit, reader),
        follow_up=_notes(visit, FOLLOW_UP_TOPICS, reader),
        to_do=tuple(_work(work, reader) for work in visit.work if not work.done),
        cautions=left_behind(visit) if customer else cautions_of(visit, verdicts),
        undetermined=tuple(line for line in verdicts if line.outcome == Outcome.UNDETERMINED.value),
        to_hear=tuple(line for _, line in kept if line.doubtful),
        attachments=tuple(attachment_text(a) for a in visit.attachments) if reader.may("photographs") else (),
        history=() if customer else history_of(visit, lines),
        blanked=() if customer else tuple(blanked_text(blanking) for blanking in visit.blankings),
        narration=_narration(visit) if reader.may("transcript") else (),
        nothing_read=not visit.readings,
        work_facts=labelled(of_the_visit(visit), "parts", "refrigerant", customer=customer),
        left_facts=labelled(of_the_visit(visit), "as left", customer=customer),
        invoice=labelled(of_the_visit(visit), "billing", customer=customer),
        missing=gaps.items,
        rules=gaps.rules,
        head=head,
    )


def reading_lines(readings: tuple[Reading, ...]) -> tuple[ReadingLine, ...]:
    """Return readings that belong to no visit yet as lines."""
    return tuple(_reading_line(reading, number, Reader()) for number, reading in enumerate(readings))


def verdict_lines(verdicts: tuple[Verdict, ...], readings: tuple[Reading, ...] = ()) -> tuple[VerdictLine, ...]:
    """Return verdicts that belong to no visit yet as lines."""
    visit = Visit(id="", code="", readings=readings, verdicts=verdicts)
    lines = {r.id: line for r, line in zip(readings, reading_lines(readings), strict=True)}
    return tuple(verdict_line(verdict, 0, visit, lines, False) for verdict in verdicts)


def _moment(part: object, reader: Reader) -> Moment | None:
    evidence = getattr(part, "evidence", None)
    if evidence is None or not reader.may("transcript"):
        return None
    start, end = evidence.start, evidence.end
    return Moment(evidence.recording, start, end, wording.clock(start) if end > 0 else "typed", evidence.said)


def _reading_line(reading: Reading, place: int, reader: Reader) -> ReadingLine:
    customer = reader.customer
    before, number, unit = wording.amount_parts(reading)
    doubts = tuple(doubt.why.rstrip(". ") for doubt in reading.doubts)
    if customer and doubts:
        doubts = ("still to be confirmed",)
    others = tuple(dict.fromkeys(wording.alternative_text(other, reading) for other in reading.alternatives))
    return ReadingLine(
        id=reading.id or f"n{place}",
        before=before,
        number=number,
        unit=unit,
        place=wording.place_text(reading),
        kind=wording.kind_text(reading),
        equipment=reading.equipment or "",
        circumstances="; ".join(reading.conditions) if customer else wording.circumstances(reading),
        moment=_moment(reading, reader),
        doubts=doubts,
        others=() if customer else others[:MOST_OTHERS],
        more=max(0, len(others) - MOST_OTHERS),
        withdrawn=reading.withdrawn,
    )


def _visit_line(
    reading: Reading, number: int, visit: Visit, reader: Reader, suggestions: Sequence[Suggestion]
) -> ReadingLine:
    line = _reading_line(reading, number, reader)
    changed = "" if reader.customer else _corrected(reading, visit)
    taught = () if reader.customer else tuple(s.why for s in suggestions if s.reading == reading.id)
    about = "; ".join(part for part in (line.circumstances, changed) if part)
    return replace(line, circumstances=about, n=number, before_now=taught)


def _corrected(reading: Reading, visit: Visit) -> str:
    """Return what people changed in a reading, or who added it."""
    changes = [
        f"{c.field} corrected by {c.by}, was {c.before or 'not given'}"
        for c in visit.corrections
        if reading.id and c.target == reading.id
    ]
    by_hand = [f"added {hearer}" for hearer in reading.heard_by if hearer.startswith("by hand")]
    return "; ".join([*by_hand, *changes])


def _notes(visit: Visit, topics: tuple[str, ...], reader: Reader) -> tuple[Said, ...]:
    return tuple(Said(note.text, _moment(note, reader)) for note in visit.notes if note.topic.lower() in topics)


def _other_notes(visit: Visit, reader: Reader) -> tuple[tuple[str, tuple[Said, ...]], ...]:
    shown = ("complaint", *FOLLOW_UP_TOPICS)
    topics = dict.fromkeys(note.topic for note in visit.notes if note.topic.lower() not in shown)
    return tuple(
        (topic, _notes(visit, (topic.lower(),), reader))
        for topic in topics
        if reader.may("notes") or topic.lower() in CUSTOMER_TOPICS
    )


def _finding(finding: Finding, reader: Reader) -> Said:
    where = ", ".join(part for part in (finding.equipment, finding.component) if part)
    what = f"not so: {finding.what}" if finding.negated else finding.what
    return Said(f"{where}: {what}" if where else what, _moment(finding, reader))


def _work(work: WorkDone, reader: Reader) -> Said:
    amount = wording.measure_text(work.amount, work.unit)
    if ounces := wording.in_ounces(work.amount, work.unit):
        amount += f" ({ounces})"
    parts = [work.action, amount, work.component or "", f"({work.part})" if work.part else ""]
    text = " ".join(part for part in parts if part)
    return Said(f"{work.equipment}: {text}" if work.equipment else text, _moment(work, reader))


def _narration(visit: Visit) -> tuple[Heard, ...]:
    """Return the words of each listener, one listener after the other; typed lines are nobody's hearing."""
    listeners = list(dict.fromkeys(u.heard_by for u in visit.utterances if u.end > 0))
    ordered = sorted(visit.utterances, key=lambda u: listeners.index(u.heard_by) if u.heard_by in listeners else -1)
    several = len(listeners) > 1
    return tuple(replace(_heard(u, visit), listener=_listener(u, listeners) if several else "") for u in ordered)


def _listener(utterance: Utterance, listeners: Sequence[str]) -> str:
    if utterance.heard_by not in listeners:
        return "Typed"
    return {0: "First listener", 1: "Second listener"}.get(listeners.index(utterance.heard_by), "Further listener")


def _heard(utterance: Utterance, visit: Visit) -> Heard:
    """Cut an utterance at the words its readings came from; where two readings share words, the first has them."""
    owner = [""] * len(utterance.words)
    for reading in visit.readings:
        at = reading.evidence
        if at and (at.recording, at.utterance) == (utterance.recording, utterance.index):
            owner[at.first : at.last + 1] = [mine or reading.id for mine in owner[at.first : at.last + 1]]
    pieces = tuple(
        (" ".join("…" if word.text == NOT_UNDERSTOOD else word.text for word, _ in group), reading)
        for reading, group in groupby(zip(utterance.words, owner, strict=True), key=lambda pair: pair[1])
    )
    start, end = utterance.start, utterance.end
    clock = wording.clock(start) if end > 0 else "typed"
    return Heard(Moment(utterance.recording, start, end, clock, utterance.text), pieces)


def plain_lines(lines: tuple[ReadingLine, ...]) -> tuple[ReadingLine, ...]:
    """Return lines without what the reader has no use for: an equipment name that is the same everywhere."""
    if len({line.equipment for line in lines}) > 1:
        return lines
    return tuple(replace(line, equipment="") for line in lines)
