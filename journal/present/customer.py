"""A visit without what a customer's copy must not hold, for the forms that hand on the visit itself (JSON, CSV)."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from typing import Any

from journal.domain.reading import Doubt, Reading, Role
from journal.domain.visit import Visit
from journal.present.compose import CUSTOMER_TOPICS
from journal.present.compose_verdicts import OVERRULED, left_behind
from journal.present.page import Reader
from journal.present.record_fields import customer_may_read


def customers_visit(visit: Visit, released: Collection[str] = ()) -> Visit:
    """Return what a customer may have of a visit as it stands.

    Words of the narration, recordings, internal notes, photographs, corrections, withdrawn readings and facts of the
    office are left out unless released; a verdict that a person overruled goes, and so does a cause nobody stands by.
    Of the cautions only the hazards left behind stay.
    """
    reader = Reader("customer", frozenset(released))
    bare: dict[str, Any] = {} if reader.may("transcript") else {"evidence": None}
    overruled = {c.target for c in visit.corrections if c.field == OVERRULED}
    return replace(
        visit,
        listened_with=(),
        recordings=visit.recordings if reader.may("sound") or reader.may("transcript") else (),
        utterances=visit.utterances if reader.may("transcript") else (),
        readings=tuple(
            replace(reading, doubts=_doubts(reading), alternatives=(), heard_by=(), inferred=(), **bare)
            for reading in visit.readings
            if not reading.withdrawn and reading.role is not Role.EXPECTED
        ),
        findings=tuple(replace(finding, **bare) for finding in visit.findings),
        work=tuple(replace(work, **bare) for work in visit.work),
        notes=tuple(replace(note, **bare) for note in visit.notes if _may_read(note.topic, reader)),
        verdicts=tuple(
            replace(verdict, formula="", cautions=(), doubt_note="")
            for verdict in visit.verdicts
            if verdict.id not in overruled
        ),
        diagnoses=tuple(d for d in visit.diagnoses if d.proposed_by != "journal" and d.id not in overruled),
        cautions=left_behind(visit),
        corrections=(),
        fields=tuple(replace(fact, **bare) for fact in visit.fields if customer_may_read(fact.name)),
        attachments=visit.attachments if reader.may("photographs") else (),
        blankings=(),
    )


def _may_read(topic: str, reader: Reader) -> bool:
    return reader.may("notes") or topic.lower() in CUSTOMER_TOPICS


def _doubts(reading: Reading) -> tuple[Doubt, ...]:
    """Keep that a number is not sure, not why: the reasons speak of what was heard."""
    return (Doubt("unconfirmed", "still to be confirmed"),) if reading.doubts else ()
