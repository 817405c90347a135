"""The frame around one call: who, where, which machine, what was said, found, done and concluded."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass, field
from decimal import Decimal

from journal.domain.reading import Doubt, Evidence, Reading
from journal.domain.speech import Utterance
from journal.domain.verdict import Diagnosis, Verdict


@dataclass(frozen=True, slots=True)
class Equipment:
    """What is being serviced, as far as it is known.

    ``name`` is what the technician calls it in this visit and what ``Reading.equipment`` points to;
    nameplate figures are readings with the role ``nameplate``.
    """

    name: str
    type: str | None = None  # walk-in cooler, reach-in, rooftop unit...
    maker: str | None = None
    model: str | None = None
    serial: str | None = None
    refrigerant: str | None = None  # ASHRAE designation, 'R-448A'
    charge: Decimal | None = None
    charge_unit: str | None = None
    location: str | None = None
    use: str | None = None  # what the box is for: cooler, freezer, ice cream...
    doubts: tuple[Doubt, ...] = ()


@dataclass(frozen=True, slots=True)
class Finding:
    """Something seen, felt or heard that is no number."""

    what: str
    component: str | None = None
    equipment: str | None = None
    negated: bool = False
    evidence: Evidence | None = field(default=None, compare=False)
    id: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class WorkDone:
    """An action, with its part or amount."""

    action: str
    component: str | None = None
    amount: Decimal | None = None
    unit: str | None = None
    part: str | None = None
    equipment: str | None = None
    done: bool = True  # False: promised, quoted or to be ordered
    evidence: Evidence | None = field(default=None, compare=False)
    id: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Note:
    """Words that belong to a field of the record: complaint, conclusion, recommendation, follow-up."""

    topic: str
    text: str
    evidence: Evidence | None = field(default=None, compare=False)
    id: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Interpretation:
    """All the language stage has understood so far; replaced, never changed."""

    readings: tuple[Reading, ...] = ()
    findings: tuple[Finding, ...] = ()
    work: tuple[WorkDone, ...] = ()
    notes: tuple[Note, ...] = ()
    equipment: tuple[Equipment, ...] = ()
    fields: tuple[Field, ...] = ()  # named facts that were said
    steps: tuple[str, ...] = ()  # topics of work announced ('charged capacitor', 'brazing'): cautions belong to them


@dataclass(frozen=True, slots=True)
class Known:
    """Names that earlier visits know: what a spoken site or customer is chosen from."""

    sites: tuple[str, ...] = ()
    customers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Recording:
    """One file of sound kept with the visit.

    ``name`` is how utterances refer to it (``r1``); ``file`` its path below the store's folder.
    """

    name: str
    file: str
    original_name: str
    sha256: str
    seconds: float
    rate: int
    channels: int
    model: str
    started: str | None = None  # UTC, ISO 8601
    started_from: str = ""  # 'given', 'file' (inferred from the file), or ''


@dataclass(frozen=True, slots=True)
class Field:
    """One named fact of the record that is no measurement: work order, arrival, who was told, certificate number...

    ``name`` is free, its usual spellings stand in ``keep/record_fields.toml``; ``value`` is text as it reads on paper;
    ``source`` says how it came in: ``said``, ``typed``, ``chosen`` (from known ones) or ``file``; ``doubts`` say why
    somebody should confirm it.
    """

    name: str
    value: str
    source: str = "typed"
    equipment: str | None = None
    evidence: Evidence | None = dataclasses.field(default=None, compare=False)
    id: str = dataclasses.field(default="", compare=False)
    doubts: tuple[Doubt, ...] = ()

    def __post_init__(self) -> None:
        if not self.name:
            raise ValueError("a field of the record has a name")


@dataclass(frozen=True, slots=True)
class Attachment:
    """A photograph or paper kept with the visit; ``file`` is its path below the store's folder."""

    name: str
    file: str
    original_name: str
    sha256: str
    bytes: int
    media_type: str
    caption: str = ""
    by: str = ""
    at: str = ""  # UTC, ISO 8601
    id: str = dataclasses.field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Correction:
    """Who changed what from what to what, when and why; append-only."""

    target: str  # id of the reading, verdict or visit
    field: str
    before: str
    after: str
    by: str
    at: str  # UTC, ISO 8601
    why: str
    id: str = dataclasses.field(default="", compare=False)

    def __post_init__(self) -> None:
        if not self.why or not self.by:
            raise ValueError("a correction says who and why")


@dataclass(frozen=True, slots=True)
class Blanking:
    """The marker that stays where words or sound were taken out: what, by whom, when, why.

    ``start`` and ``end`` are seconds of ``recording``; ``None`` for typed notes and other parts.
    """

    recording: str
    start: float | None
    end: float | None
    what: str  # 'words', 'sound', 'words and sound', or what part of the record
    by: str
    at: str  # UTC, ISO 8601
    why: str
    id: str = dataclasses.field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Visit:
    """All of it, for one call.  ``code`` is the short handle people type."""

    id: str
    code: str
    started: str | None = None
    started_from: str = ""
    made: str = ""  # when the record was first made, UTC
    title: str = ""
    technician: str | None = None
    site: str | None = None
    status: str = "complete"  # open while speaking, complete, closed once signed off
    listened_with: tuple[str, ...] = ()  # the models that heard it
    recordings: tuple[Recording, ...] = ()
    utterances: tuple[Utterance, ...] = ()
    equipment: tuple[Equipment, ...] = ()
    readings: tuple[Reading, ...] = ()
    findings: tuple[Finding, ...] = ()
    work: tuple[WorkDone, ...] = ()
    notes: tuple[Note, ...] = ()
    verdicts: tuple[Verdict, ...] = ()
    diagnoses: tuple[Diagnosis, ...] = ()
    cautions: tuple[str, ...] = ()
    corrections: tuple[Correction, ...] = ()
    fields: tuple[Field, ...] = ()
    attachments: tuple[Attachment, ...] = ()
    blankings: tuple[Blanking, ...] = ()

    @property
    def complaint(self) -> str:
        return " ".join(note.text for note in self.notes if note.topic == "complaint")
