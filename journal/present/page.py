"""A visit as a page: every section in the order of the record, every amount in words.

Built once, drawn by the terminal and by the record; so both share words and order.  The audience decides what is on it:
the customer's copy has no words of the narration, no sound, no note that is not meant for a customer, and of the cautions
only the hazards left behind.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from journal.domain.reading import Phase, Reading, Role
from journal.domain.verdict import Diagnosis, Limit, Outcome, Verdict
from journal.domain.visit import Equipment, Finding, Visit, WorkDone
from journal.present import wording
from journal.present.limit_bar import Bar, bars_of

Audience = Literal["technician", "office", "customer"]

#: topics of notes a customer may read; anything else is internal
CUSTOMER_TOPICS = ("complaint", "conclusion", "recommendation", "follow-up", "follow up", "how it was left")
FOLLOW_UP_TOPICS = ("conclusion", "recommendation", "follow-up", "follow up")


@dataclass(frozen=True, slots=True)
class Moment:
    """Where something was said: ``recording`` and its seconds, ``clock`` for people; ``typed`` has no seconds."""

    recording: str
    start: float
    end: float
    clock: str
    said: str

    @property
    def typed(self) -> bool:
        return self.end <= 0


@dataclass(frozen=True, slots=True)
class ReadingLine:
    """One reading.  ``number`` is set large, ``unit`` beside it; ``doubts`` and ``others`` are empty when it is sure."""

    id: str
    number: str
    unit: str
    place: str
    kind: str
    equipment: str
    circumstances: str
    moment: Moment | None
    doubts: tuple[str, ...]
    others: tuple[str, ...]
    withdrawn: bool

    @property
    def amount(self) -> str:
        return f"{self.number}{'' if self.unit == '%' else ' '}{self.unit}".strip()

    @property
    def doubtful(self) -> bool:
        return bool(self.doubts) and not self.withdrawn


@dataclass(frozen=True, slots=True)
class VerdictLine:
    """One verdict.  ``word`` is what people see, ``outcome`` the plain name of it; a bar may be missing for a limit."""

    id: str
    title: str
    outcome: str
    word: str
    plain: str
    formula: str
    value: str
    limits: tuple[tuple[str, str, Bar | None], ...]  # (span in words, on whose word, bar)
    source: str
    cautions: tuple[str, ...]
    rests_on: tuple[ReadingLine, ...]
    missing: tuple[str, ...]
    doubt: str
    where: str
    overruled: str


@dataclass(frozen=True, slots=True)
class Said:
    """A sentence of the record with the moment it comes from, if it was spoken."""

    text: str
    moment: Moment | None = None


@dataclass(frozen=True, slots=True)
class Machine:
    """One machine: its fields as (name, words), its plate's readings, and what is doubtful about it."""

    name: str
    fields: tuple[tuple[str, str], ...]
    plate: tuple[ReadingLine, ...]
    doubts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Change:
    """One correction in words."""

    at: str
    by: str
    what: str
    before: str
    after: str
    why: str


@dataclass(frozen=True, slots=True)
class Page:
    """The whole record.  Fields stand in the order in which they are shown."""

    audience: Audience
    code: str
    title: str
    when: str
    people: tuple[tuple[str, str], ...]
    status: str
    complaint: tuple[Said, ...]
    machines: tuple[Machine, ...]
    found: tuple[ReadingLine, ...]
    findings: tuple[Said, ...]
    verdicts: tuple[VerdictLine, ...]
    causes: tuple[tuple[str, str, str, str], ...]  # (title, because, what would confirm it, proposed by)
    work: tuple[Said, ...]
    left: tuple[ReadingLine, ...]
    notes: tuple[tuple[str, tuple[Said, ...]], ...]  # (topic, sentences): not complaint, not follow-up
    follow_up: tuple[Said, ...]
    to_do: tuple[Said, ...]
    cautions: tuple[str, ...]
    undetermined: tuple[VerdictLine, ...]
    to_hear: tuple[ReadingLine, ...]
    history: tuple[Change, ...]
    nothing_read: bool


def page_of(visit: Visit, audience: Audience = "office") -> Page:
    """Return a visit's page for one audience."""
    customer = audience == "customer"
    lines = {reading.id or f"#{n}": _reading_line(reading, n, customer) for n, reading in enumerate(visit.readings)}
    kept = [
        (reading, line)
        for reading, line in zip(visit.readings, lines.values(), strict=False)
        if not (customer and (reading.withdrawn or reading.role is Role.EXPECTED))
    ]
    on_plate = [(r, line) for r, line in kept if r.role is Role.NAMEPLATE]
    taken = [(r, line) for r, line in kept if r.role is not Role.NAMEPLATE]
    verdicts = [_verdict_line(verdict, visit, lines, customer) for verdict in visit.verdicts]
    return Page(
        audience=audience,
        code=visit.code,
        title=visit.title or "Service visit",
        when=wording.moment_text(visit.started)
        + (" (from the recording's file)" if visit.started_from == "file" and not customer else ""),
        people=tuple((name, text) for name, text in (("Site", visit.site), ("Technician", visit.technician)) if text),
        status=visit.status,
        complaint=_notes(visit, ("complaint",), customer),
        machines=_machines(visit, on_plate),
        found=tuple(line for r, line in taken if r.phase is Phase.AS_FOUND),
        findings=tuple(_finding(finding, customer) for finding in visit.findings),
        verdicts=tuple(line for line in verdicts if line.outcome != Outcome.UNDETERMINED.value),
        causes=() if customer else tuple(_cause(diagnosis) for diagnosis in visit.diagnoses),
        work=tuple(_work(work, customer) for work in visit.work if work.done),
        left=tuple(line for r, line in taken if r.phase is Phase.AS_LEFT),
        notes=_other_notes(visit, customer),
        follow_up=_notes(visit, FOLLOW_UP_TOPICS, customer),
        to_do=tuple(_work(work, customer) for work in visit.work if not work.done),
        cautions=_left_behind(visit) if customer else visit.cautions,
        undetermined=tuple(line for line in verdicts if line.outcome == Outcome.UNDETERMINED.value),
        to_hear=tuple(line for _, line in kept if line.doubtful),
        history=() if customer else _history(visit, lines),
        nothing_read=not visit.readings,
    )


def reading_lines(readings: tuple[Reading, ...]) -> tuple[ReadingLine, ...]:
    """Return readings that belong to no visit yet as lines."""
    return tuple(_reading_line(reading, number, False) for number, reading in enumerate(readings))


def verdict_lines(verdicts: tuple[Verdict, ...], readings: tuple[Reading, ...] = ()) -> tuple[VerdictLine, ...]:
    """Return verdicts that belong to no visit yet as lines."""
    visit = Visit(id="", code="", readings=readings, verdicts=verdicts)
    lines = {r.id: line for r, line in zip(readings, reading_lines(readings), strict=True)}
    return tuple(_verdict_line(verdict, visit, lines, False) for verdict in verdicts)


def _moment(part: object, customer: bool) -> Moment | None:
    evidence = getattr(part, "evidence", None)
    if evidence is None or customer:
        return None
    start, end = evidence.start, evidence.end
    return Moment(evidence.recording, start, end, wording.clock(start) if end > 0 else "typed", evidence.said)


def _reading_line(reading: Reading, number: int, customer: bool) -> ReadingLine:
    amount, unit = wording.amount_parts(reading)
    doubts: tuple[str, ...] = tuple(doubt.why for doubt in reading.doubts)
    if customer and doubts:
        doubts = ("still to be confirmed",)
    return ReadingLine(
        id=reading.id or f"n{number}",
        number=amount,
        unit=unit,
        place=wording.place_text(reading),
        kind=wording.kind_text(reading),
        equipment=reading.equipment or "",
        circumstances="; ".join(reading.conditions) if customer else wording.circumstances(reading),
        moment=_moment(reading, customer),
        doubts=doubts,
        others=()
        if customer
        else tuple(dict.fromkeys(wording.alternative_text(other, reading) for other in reading.alternatives)),
        withdrawn=reading.withdrawn,
    )


def _verdict_line(verdict: Verdict, visit: Visit, lines: dict[str, ReadingLine], customer: bool) -> VerdictLine:
    overruled = [c for c in visit.corrections if c.target == verdict.id and c.field in ("outcome", "verdict")]
    last = overruled[-1] if overruled else None
    word = wording.outcome_text(verdict.outcome, verdict.authority)
    outcome = verdict.outcome.value
    if last and customer:
        word = f"{last.after} (by {last.by})"
        outcome = last.after if last.after in {o.value for o in Outcome} else outcome
    doubt = ""
    if verdict.rests_on_doubt:
        doubt = "rests on a reading that needs listening" if not customer else "rests on a number still to be confirmed"
        if verdict.doubt_note and not customer:
            doubt += f": {verdict.doubt_note}"
    where = [verdict.equipment, verdict.component, verdict.phase if verdict.phase != "as found" else None]
    return VerdictLine(
        id=verdict.id,
        title=verdict.title or verdict.check,
        outcome=outcome,
        word=word,
        plain=verdict.plain,
        formula="" if customer else verdict.formula,
        value=wording.measure_text(None if verdict.value is None else wording.rounded(verdict.value), verdict.unit),
        limits=tuple(_limit(limit, bar, customer) for limit, bar in bars_of(verdict)),
        source="" if customer else verdict.source,
        cautions=() if customer else verdict.cautions,
        rests_on=tuple(lines[i] for i in verdict.readings if i in lines),
        missing=verdict.missing,
        doubt=doubt,
        where=", ".join(part for part in where if part),
        overruled=f"overruled by {last.by}: {last.after}, because {last.why}" if last and not customer else "",
    )


def _limit(limit: Limit, bar: Bar | None, customer: bool) -> tuple[str, str, Bar | None]:
    return wording.limit_text(limit), "" if customer else wording.limit_source(limit), bar


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


def _machines(visit: Visit, plate: list[tuple[Reading, ReadingLine]]) -> tuple[Machine, ...]:
    machines = []
    names = {machine.name for machine in visit.equipment}
    for number, machine in enumerate(visit.equipment):
        # A plate nobody named a machine for belongs to the first one.
        mine = [line for r, line in plate if r.equipment == machine.name or (number == 0 and r.equipment not in names)]
        machines.append(
            Machine(machine.name, _fields(machine), tuple(mine), tuple(doubt.why for doubt in machine.doubts))
        )
    if not machines and plate:
        machines.append(Machine("", (), tuple(line for _, line in plate), ()))
    return tuple(machines)


def _fields(machine: Equipment) -> tuple[tuple[str, str], ...]:
    charge = wording.measure_text(machine.charge, machine.charge_unit)
    fields = (
        ("Type", machine.type if machine.type != machine.name else None),
        ("Maker", machine.maker),
        ("Model", machine.model),
        ("Serial", machine.serial),
        ("Refrigerant", machine.refrigerant),
        ("Full charge", charge),
        ("Place", machine.location),
        ("Use", machine.use),
    )
    return tuple((name, text) for name, text in fields if text)


def _finding(finding: Finding, customer: bool) -> Said:
    where = ", ".join(part for part in (finding.equipment, finding.component) if part)
    what = f"not so: {finding.what}" if finding.negated else finding.what
    return Said(f"{where}: {what}" if where else what, _moment(finding, customer))


def _work(work: WorkDone, customer: bool) -> Said:
    amount = wording.measure_text(work.amount, work.unit)
    parts = [work.action, amount, work.component or "", f"({work.part})" if work.part else ""]
    text = " ".join(part for part in parts if part)
    return Said(f"{work.equipment}: {text}" if work.equipment else text, _moment(work, customer))


def _cause(diagnosis: Diagnosis) -> tuple[str, str, str, str]:
    return diagnosis.title, diagnosis.because, diagnosis.confirm, diagnosis.proposed_by


def _left_behind(visit: Visit) -> tuple[str, ...]:
    """Return the cautions of what was left out of limits: not mended by a later verdict of the same check and place."""
    mended = {
        (v.check, v.equipment, v.component)
        for v in visit.verdicts
        if v.phase == Phase.AS_LEFT.value and v.outcome is Outcome.WITHIN
    }
    left = [
        caution
        for verdict in visit.verdicts
        if verdict.outcome is Outcome.OUTSIDE and (verdict.check, verdict.equipment, verdict.component) not in mended
        for caution in verdict.cautions
    ]
    return tuple(dict.fromkeys(left))


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
