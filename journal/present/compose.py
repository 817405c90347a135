"""Makes the page of a visit.

The audience decides what is on it: the customer's copy has no words of the narration, no sound, no note that is not
meant for a customer, and of the cautions only the hazards left behind.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby

from journal.domain.reading import Phase, Reading, Role
from journal.domain.speech import Utterance
from journal.domain.verdict import Outcome, Verdict
from journal.domain.visit import Finding, Visit, WorkDone
from journal.present import wording
from journal.present.compose_frame import attachment_text, blanked_text, machines_of, people_of
from journal.present.compose_verdicts import causes_of, cautions_of, left_behind, verdict_line, worst_first
from journal.present.page import Audience, Change, Heard, Moment, Page, ReadingLine, Said, VerdictLine

#: topics of notes a customer may read; anything else is internal
CUSTOMER_TOPICS = ("complaint", "conclusion", "recommendation", "follow-up", "follow up", "how it was left")
FOLLOW_UP_TOPICS = ("conclusion", "recommendation", "follow-up", "follow up")
MOST_OTHERS = 5  # other values shown beside a doubtful one; the rest is counted


def page_of(visit: Visit, audience: Audience = "office") -> Page:
    """Return a visit's page for one audience."""
    customer = audience == "customer"
    drawn = [_visit_line(reading, n, visit, customer) for n, reading in enumerate(visit.readings)]
    lines = {line.id: line for line in drawn}
    kept = [
        (reading, line)
        for reading, line in zip(visit.readings, drawn, strict=True)
        if not (customer and (reading.withdrawn or reading.role is Role.EXPECTED))
    ]
    on_plate = [(r, line) for r, line in kept if r.role is Role.NAMEPLATE]
    taken = [(r, line) for r, line in kept if r.role is not Role.NAMEPLATE]
    verdicts = worst_first([verdict_line(verdict, visit, lines, customer) for verdict in visit.verdicts])
    return Page(
        audience=audience,
        code=visit.code,
        title=visit.title or "Service visit",
        when=wording.moment_text(visit.started)
        + (" (from the recording's file)" if visit.started_from == "file" and not customer else ""),
        people=people_of(visit, customer),
        status=visit.status,
        complaint=_notes(visit, ("complaint",), customer),
        machines=machines_of(visit, on_plate, customer),
        found=tuple(line for r, line in taken if r.phase is Phase.AS_FOUND),
        findings=tuple(_finding(finding, customer) for finding in visit.findings),
        verdicts=tuple(line for line in verdicts if line.outcome != Outcome.UNDETERMINED.value),
        causes=causes_of(visit, customer),
        work=tuple(_work(work, customer) for work in visit.work if work.done),
        left=tuple(line for r, line in taken if r.phase is Phase.AS_LEFT),
        notes=_other_notes(visit, customer),
        follow_up=_notes(visit, FOLLOW_UP_TOPICS, customer),
        to_do=tuple(_work(work, customer) for work in visit.work if not work.done),
        cautions=left_behind(visit) if customer else cautions_of(visit, verdicts),
        undetermined=tuple(line for line in verdicts if line.outcome == Outcome.UNDETERMINED.value),
        to_hear=tuple(line for _, line in kept if line.doubtful),
        attachments=() if customer else tuple(attachment_text(attachment) for attachment in visit.attachments),
        history=() if customer else _history(visit, lines),
        blanked=() if customer else tuple(blanked_text(blanking) for blanking in visit.blankings),
        narration=() if customer else tuple(_heard(utterance, visit) for utterance in visit.utterances),
        nothing_read=not visit.readings,
    )


def reading_lines(readings: tuple[Reading, ...]) -> tuple[ReadingLine, ...]:
    """Return readings that belong to no visit yet as lines."""
    return tuple(_reading_line(reading, number, False) for number, reading in enumerate(readings))


def verdict_lines(verdicts: tuple[Verdict, ...], readings: tuple[Reading, ...] = ()) -> tuple[VerdictLine, ...]:
    """Return verdicts that belong to no visit yet as lines."""
    visit = Visit(id="", code="", readings=readings, verdicts=verdicts)
    lines = {r.id: line for r, line in zip(readings, reading_lines(readings), strict=True)}
    return tuple(verdict_line(verdict, visit, lines, False) for verdict in verdicts)


def _moment(part: object, customer: bool) -> Moment | None:
    evidence = getattr(part, "evidence", None)
    if evidence is None or customer:
        return None
    start, end = evidence.start, evidence.end
    return Moment(evidence.recording, start, end, wording.clock(start) if end > 0 else "typed", evidence.said)


def _reading_line(reading: Reading, place: int, customer: bool) -> ReadingLine:
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
        moment=_moment(reading, customer),
        doubts=doubts,
        others=() if customer else others[:MOST_OTHERS],
        more=max(0, len(others) - MOST_OTHERS),
        withdrawn=reading.withdrawn,
    )


def _visit_line(reading: Reading, place: int, visit: Visit, customer: bool) -> ReadingLine:
    line = _reading_line(reading, place, customer)
    changed = "" if customer else _corrected(reading, visit)
    return replace(line, circumstances="; ".join(part for part in (line.circumstances, changed) if part))


def _corrected(reading: Reading, visit: Visit) -> str:
    """Return what people changed in a reading, or who added it."""
    changes = [
        f"{c.field} corrected by {c.by}, was {c.before or 'not given'}"
        for c in visit.corrections
        if reading.id and c.target == reading.id
    ]
    by_hand = [f"added {hearer}" for hearer in reading.heard_by if hearer.startswith("by hand")]
    return "; ".join([*by_hand, *changes])


def _notes(visit: Visit, topics: tuple[str, ...], customer: bool) -> tuple[Said, ...]:
    return tuple(Said(note.text, _moment(note, customer)) for note in visit.notes if note.topic.lower() in topics)


def _other_notes(visit: Visit, customer: bool) -> tuple[tuple[str, tuple[Said, ...]], ...]:
    shown = ("complaint", *FOLLOW_UP_TOPICS)
    topics = dict.fromkeys(note.topic for note in visit.notes if note.topic.lower() not in shown)
    return tuple(
        (topic, _notes(visit, (topic.lower(),), customer))
        for topic in topics
        if not customer or topic.lower() in CUSTOMER_TOPICS
    )


def _finding(finding: Finding, customer: bool) -> Said:
    where = ", ".join(part for part in (finding.equipment, finding.component) if part)
    what = f"not so: {finding.what}" if finding.negated else finding.what
    return Said(f"{where}: {what}" if where else what, _moment(finding, customer))


def _work(work: WorkDone, customer: bool) -> Said:
    amount = wording.measure_text(work.amount, work.unit)
    if ounces := wording.in_ounces(work.amount, work.unit):
        amount += f" ({ounces})"
    parts = [work.action, amount, work.component or "", f"({work.part})" if work.part else ""]
    text = " ".join(part for part in parts if part)
    return Said(f"{work.equipment}: {text}" if work.equipment else text, _moment(work, customer))


def _heard(utterance: Utterance, visit: Visit) -> Heard:
    """Cut an utterance at the words its readings came from; where two readings share words, the first has them."""
    owner = [""] * len(utterance.words)
    for reading in visit.readings:
        at = reading.evidence
        if at and (at.recording, at.utterance) == (utterance.recording, utterance.index):
            owner[at.first : at.last + 1] = [mine or reading.id for mine in owner[at.first : at.last + 1]]
    pieces = tuple(
        (" ".join(word.text for word, _ in group), reading)
        for reading, group in groupby(zip(utterance.words, owner, strict=True), key=lambda pair: pair[1])
    )
    start, end = utterance.start, utterance.end
    clock = wording.clock(start) if end > 0 else "typed"
    return Heard(Moment(utterance.recording, start, end, clock, utterance.text), pieces)


def _history(visit: Visit, lines: dict[str, ReadingLine]) -> tuple[Change, ...]:
    titles = {verdict.id: verdict.title for verdict in visit.verdicts}
    changes = []
    for correction in visit.corrections:
        line = lines.get(correction.target)
        named = f"{line.place or line.kind}, {line.amount}" if line else titles.get(correction.target, "the visit")
        changes.append(
            Change(
                at=wording.moment_text(correction.at),
                by=correction.by,
                what=f"{correction.field} of {named}",
                before=correction.before,
                after=correction.after,
                why=correction.why,
            )
        )
    return tuple(changes)


def plain_lines(lines: tuple[ReadingLine, ...]) -> tuple[ReadingLine, ...]:
    """Return lines without what the reader has no use for: an equipment name that is the same everywhere."""
    if len({line.equipment for line in lines}) > 1:
        return lines
    return tuple(replace(line, equipment="") for line in lines)
