"""The history of changes in words: what was corrected, of what, by whom and why."""

from __future__ import annotations

from collections.abc import Mapping

from journal.domain.visit import Visit
from journal.present import wording
from journal.present.compose_verdicts import OVERRULED
from journal.present.page import Change, ReadingLine
from journal.present.record_fields import label_of


def history_of(visit: Visit, lines: Mapping[str, ReadingLine]) -> tuple[Change, ...]:
    """Return the corrections of a visit, the first one first; ``lines`` are its readings by their ids."""
    named = _names(visit, lines)
    return tuple(
        Change(
            at=wording.moment_text(correction.at),
            by=correction.by,
            what=_what(correction.field, named.get(correction.target, "the visit")),
            before=correction.before,
            after=correction.after,
            why=correction.why,
        )
        for correction in visit.corrections
    )


def _what(field: str, name: str) -> str:
    if field.startswith("equipment/"):
        machine, _, detail = field.removeprefix("equipment/").rpartition("/")
        return f"{detail.replace('_', ' ')} of {machine}"
    if field == OVERRULED:
        return f"what holds of '{name}'"
    return f"{field.replace('_', ' ')} of {name}"


def _names(visit: Visit, lines: Mapping[str, ReadingLine]) -> dict[str, str]:
    """Return what each part is called, by its id."""
    names = {id: f"{line.place or line.kind}, {line.amount}" for id, line in lines.items()}
    names |= {verdict.id: verdict.title or verdict.check for verdict in visit.verdicts}
    names |= {cause.id: cause.title for cause in visit.diagnoses}
    names |= {work.id: f"the work '{work.action}'" for work in visit.work}
    names |= {finding.id: f"the finding '{finding.what}'" for finding in visit.findings}
    names |= {note.id: f"the {note.topic}" for note in visit.notes}
    names |= {fact.id: f"'{label_of(fact.name)}'" for fact in visit.fields}
    names.pop("", None)
    return names
