"""A visit as a page: every section in the order of the record, every amount in words.

Made once (``compose.py``), drawn by the terminal and by the record; so both share words and order.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from journal.present.completeness import Missing
from journal.present.limit_bar import Bar

Audience = Literal["technician", "office", "customer"]
#: named facts as (label, words)
Facts = tuple[tuple[str, str], ...]
#: what may be let out to a customer besides the record itself
RELEASES = ("transcript", "sound", "notes", "photographs")


@dataclass(frozen=True, slots=True)
class Reader:
    """Who reads a copy, and so what it holds: a customer gets words, sound, internal notes only when released."""

    audience: Audience = "office"
    released: frozenset[str] = frozenset()

    @property
    def customer(self) -> bool:
        return self.audience == "customer"

    def may(self, what: str) -> bool:
        """Return whether the copy may hold ``transcript``, ``sound``, ``notes`` or ``photographs``."""
        return not self.customer or what in self.released


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
    """One reading.

    ``number`` is set large, ``before`` ('about', 'more than') and ``unit`` small beside it; ``doubts`` and ``others``
    are empty when it is sure.
    """

    id: str
    before: str
    number: str
    unit: str
    place: str
    kind: str
    equipment: str
    circumstances: str
    moment: Moment | None
    doubts: tuple[str, ...]
    others: tuple[str, ...]
    more: int  # how many other values there are beside these
    withdrawn: bool
    n: int = 0  # the number by which it is corrected, from 1; 0 for one that belongs to no visit
    before_now: tuple[str, ...] = ()  # what earlier corrections of the same technician suggest

    @property
    def amount(self) -> str:
        return f"{self.before} {self.number}{'' if self.unit == '%' else ' '}{self.unit}".strip()

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
    n: int = 0  # the number by which it is overruled, from 1


@dataclass(frozen=True, slots=True)
class CauseLine:
    """What verdicts together point to; ``overruled`` is what a person says instead."""

    title: str
    because: str
    confirm: str
    proposed_by: str
    overruled: str
    n: int = 0  # the number by which it is overruled, from 1


@dataclass(frozen=True, slots=True)
class Said:
    """A sentence of the record with the moment it comes from, if it was spoken."""

    text: str
    moment: Moment | None = None


@dataclass(frozen=True, slots=True)
class Heard:
    """One utterance of the narration, cut into pieces: (words, id of the reading they became or empty)."""

    moment: Moment
    pieces: tuple[tuple[str, str], ...]
    listener: str = ""  # who heard it, where several did


@dataclass(frozen=True, slots=True)
class Machine:
    """One machine: its fields as (name, words), its plate's readings, and what is doubtful about it."""

    name: str
    fields: Facts
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
    people: Facts
    status: str
    complaint: tuple[Said, ...]
    machines: tuple[Machine, ...]
    found: tuple[ReadingLine, ...]
    findings: tuple[Said, ...]
    verdicts: tuple[VerdictLine, ...]
    causes: tuple[CauseLine, ...]
    work: tuple[Said, ...]
    left: tuple[ReadingLine, ...]
    notes: tuple[tuple[str, tuple[Said, ...]], ...]  # (topic, sentences): not complaint, not follow-up
    follow_up: tuple[Said, ...]
    to_do: tuple[Said, ...]
    cautions: tuple[str, ...]
    undetermined: tuple[VerdictLine, ...]
    to_hear: tuple[ReadingLine, ...]
    attachments: tuple[str, ...]
    history: tuple[Change, ...]
    blanked: tuple[Said, ...]
    narration: tuple[Heard, ...]
    nothing_read: bool
    work_facts: Facts = ()  # parts and refrigerant: shown with the work
    left_facts: Facts = ()  # how it was left, who was told
    invoice: Facts = ()
    missing: tuple[Missing, ...] = ()
    rules: tuple[str, ...] = ()  # what demands the missing parts, with dates
    head: str = ""  # the digest of the store this was made from
