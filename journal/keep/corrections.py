"""What people put right: planned as corrections with before and after, and applied over the original, which stays.

Fields of a visit are named as in ``Visit`` (title, technician, site, started, status), those of a machine
``equipment/NAME/serial``.  Parts are named by their id.  Beside its own fields a reading, a named fact and a machine
(``equipment/NAME/confirmed``) know ``confirmed``: somebody listened or looked, it is right; a reading ``not a
reading``.  A verdict or diagnosis knows ``overruled`` only, and stays as it is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, Protocol

from journal.domain.ids import new_id
from journal.domain.reading import Reading
from journal.domain.verdict import Diagnosis, Verdict
from journal.domain.visit import Correction, Equipment, Field, Visit
from journal.errors import BadInput, NotFound
from journal.keep import typed
from journal.keep.applying import AMOUNT, CONFIRMED, CORRECTABLE, JOURNAL, NOT_A_READING, current, machine_of_field
from journal.keep.wording import as_text, from_text

__all__ = [
    "CONFIRMED",
    "JOURNAL",
    "NOT_A_READING",
    "OVERRULED",
    "Assessment",
    "Judge",
    "Judged",
    "corrected_fields",
    "current",
    "overrulings",
    "plan",
    "with_steady_ids",
]

OVERRULED = "overruled"
_OF_VISIT = ("title", "technician", "site", "started", "status")
_JUDGED = ("verdicts", "diagnoses")
_FIXED = ("id", "evidence", "heard_by")
#: a reading has one of these forms; giving one takes the others away
_FORMS = (("value",), ("low", "high"), ("state",))


class Judged(Protocol):
    """What a judging of a visit yields."""

    @property
    def verdicts(self) -> tuple[Verdict, ...]: ...
    @property
    def diagnoses(self) -> tuple[Diagnosis, ...]: ...
    @property
    def cautions(self) -> tuple[str, ...]: ...


#: judges a visit as it stands after its corrections; ``keep`` itself knows nothing of judging
Judge = Callable[[Visit], Judged]


@dataclass(frozen=True, slots=True)
class Assessment:
    """One judging of a visit, and when it was made (UTC)."""

    at: str
    verdicts: tuple[Verdict, ...]
    diagnoses: tuple[Diagnosis, ...]
    cautions: tuple[str, ...]


def plan(
    visit: Visit, target: str, changes: Mapping[str, str], *, by: str, why: str, at: str
) -> tuple[Correction, ...]:
    """Return the corrections that make ``changes`` (field -> new text) to a target of a visit as it stands now.

    Raises ``BadInput`` for a change that cannot be meant or is none, ``NotFound`` for an unknown target.
    """
    by, why = typed.line("The name of who corrects", by), typed.line("The reason", why, typed.TEXT)
    if not by or not why:
        raise BadInput("A correction says who makes it and why; the reason may be a few words.")
    now = current(visit)
    pairs = [(field, before, after) for field, before, after in _pairs(now, target, changes) if before != after]
    if not pairs:
        raise BadInput("Nothing would change: it reads like that already.")
    made = tuple(Correction(target, field, before, after, by, at, why, new_id()) for field, before, after in pairs)
    after = current(replace(visit, corrections=(*visit.corrections, *made)))  # refuses what makes no sense together
    for reading in after.readings:
        if reading.id == target and any(c.field in AMOUNT for c in made):
            typed.possible(reading)
    return made


def overrulings(visit: Visit) -> dict[str, Correction]:
    """Return what people said instead of a verdict or diagnosis: its id -> the last such correction."""
    return {c.target: c for c in visit.corrections if c.field == OVERRULED}


def corrected_fields(visit: Visit) -> dict[str, tuple[Correction, ...]]:
    """Return the corrections of each target, so that a page can show the original beside the present value."""
    by_target: dict[str, list[Correction]] = {}
    for correction in visit.corrections:
        by_target.setdefault(correction.target, []).append(correction)
    return {target: tuple(found) for target, found in by_target.items()}


def with_steady_ids(before: Visit, judged: Judged, made: Callable[[], str] = new_id) -> Judged:
    """Return a new judging in which every verdict and diagnosis that says the same as before keeps its id.

    What was overruled then stays overruled until the journal says something else.
    """
    return Assessment(
        "",
        _steady(before.verdicts, judged.verdicts, made),
        _steady(before.diagnoses, judged.diagnoses, made),
        judged.cautions,
    )


def _steady(before: Iterable[Any], after: Iterable[Any], made: Callable[[], str]) -> tuple[Any, ...]:
    known = list(before)
    kept = []
    for part in after:
        same = next((old for old in known if old == part), None)
        if same is not None:
            known.remove(same)
        kept.append(replace(part, id=same.id if same is not None else made()))
    return tuple(kept)


def _pairs(visit: Visit, target: str, changes: Mapping[str, str]) -> list[tuple[str, str, str]]:
    """Field, text before and text after, with what the changes imply."""
    if target == visit.id:
        return [(field, _visit_text(visit, field), _of_visit(field, after)) for field, after in changes.items()]
    part = _part(visit, target)
    if isinstance(part, Verdict | Diagnosis):
        said = part.outcome.words if isinstance(part, Verdict) else part.title
        if set(changes) != {OVERRULED} or not changes[OVERRULED].strip():
            raise BadInput("A verdict or diagnosis is not changed but overruled: say what holds instead.")
        return [(OVERRULED, said, typed.line("What holds instead", changes[OVERRULED], typed.TEXT))]
    if isinstance(part, Reading):
        changes = _with_implied(part, changes)
    meant = {field: _canonical(part, field, after) for field, after in changes.items()}
    return [(field, _part_text(part, field), after) for field, after in meant.items()]


def _with_implied(reading: Reading, changes: Mapping[str, str]) -> dict[str, str]:
    """A value takes the place of a range or a state, and so on; 'present' alone may keep its number."""
    whole = dict(changes)
    given = [form for form in _FORMS if any(changes.get(field) for field in form)]
    if given and changes.get("state") != "present":
        for form in _FORMS:
            for field in form:
                if form not in given and getattr(reading, field) is not None:
                    whole.setdefault(field, "")
    return whole


def _canonical(part: Any, field: str, text: str) -> str:
    if field in (CONFIRMED, NOT_A_READING):
        known = isinstance(part, Reading) or (isinstance(part, Field) and field == CONFIRMED)
        if not known or text not in ("yes", "no"):
            raise BadInput(f"{field!r} is said of a reading, with 'yes' or 'no'.")
        return text
    if field in _FIXED:
        raise BadInput(f"{field} tells where it came from and is not corrected.")
    return _entered(type(part), field, text.strip())


def _entered(kind: type, field: str, text: str) -> str:
    """The text of a field as somebody may enter it: numbers in bounds, words on one line."""
    typed.words(field, text)
    meant = from_text(kind, field, text)
    return as_text(typed.number(field, text) if isinstance(meant, Decimal) else meant)


def _of_visit(field: str, text: str) -> str:
    text = text.strip()
    if field.startswith("equipment/") and field.endswith(f"/{CONFIRMED}"):
        if text not in ("yes", "no"):
            raise BadInput(f"{CONFIRMED!r} is said with 'yes' or 'no'.")
        return text
    if field.startswith("equipment/"):
        return _entered(Equipment, field.rpartition("/")[2], text)
    if field == "started":
        return typed.moment(text) if text else ""
    return typed.words(field, text)


def _part_text(part: Any, field: str) -> str:
    if field == NOT_A_READING:
        return as_text(part.withdrawn)
    if field == CONFIRMED:
        return as_text(not part.doubts)
    return as_text(getattr(part, field, None))


def _visit_text(visit: Visit, field: str) -> str:
    if field.startswith("equipment/"):
        machine, name = machine_of_field(visit, field)
        return as_text(not machine.doubts if name == CONFIRMED else getattr(machine, name))
    if field not in _OF_VISIT:
        raise BadInput(f"{field!r} is no field of a visit; these are: {', '.join(_OF_VISIT)}, equipment/NAME/serial...")
    return as_text(getattr(visit, field))


def _part(visit: Visit, target: str) -> Any:
    for field in (*CORRECTABLE, *_JUDGED):
        for part in getattr(visit, field):
            if part.id == target:
                return part
    raise NotFound(f"The visit {visit.code} holds nothing with the id {target}.")
