"""The list of visits, a visit on one page with its sound, and what people put right there."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from starlette.requests import Request
from starlette.responses import FileResponse, Response

from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Reading, Role
from journal.domain.unit_table import unit_table
from journal.domain.verdict import Outcome
from journal.domain.visit import Correction, Visit
from journal.errors import BadInput, NotFound
from journal.keep.corrections import corrected_fields, current
from journal.pipeline import judge_again
from journal.present import wording
from journal.present.compose import page_of
from journal.present.page import VerdictLine
from journal.present.strip import strips_of
from journal.present.web.access import person_of, state_of, to
from journal.present.web.drawing import page
from journal.present.web.people import Role as Post
from journal.present.web.problems import Refused

MOST_LISTED = 200
OTHERS = 4  # alternatives offered as one tap each
AMOUNT = ("value", "low", "high", "state", "unit")
FIELDS = ("value", "unit", "component", "points", "role", "phase", "equipment")

_NUMBER = re.compile(r"[+-]?\d{1,9}(\.\d{1,9})?|[+-]?\.\d{1,9}")


@dataclass(frozen=True, slots=True)
class Choice:
    """Another value, one tap away: what is written on it, and what it changes."""

    text: str
    changes: dict[str, str]


@dataclass(frozen=True, slots=True)
class Desk:
    """What the review offers for one reading: choices, the form's present values, and how it came to be so."""

    choices: tuple[Choice, ...]
    values: dict[str, str]
    changes: tuple[Correction, ...]
    seen: int
    verdicts: tuple[VerdictLine, ...]


def visits(request: Request) -> Response:
    """The list: what is outside limits, doubtful, unfinished; and the captures that go on."""
    state, person = state_of(request), person_of(request)
    asked = request.query_params
    text = asked.get("text", "").strip()
    outcome = asked.get("outcome", "")
    chosen: dict[str, Any] = {
        "text": text or None,
        "outcome": Outcome(outcome) if outcome in list(Outcome) else None,
        "doubtful": True if asked.get("doubtful") else None,
        "open": True if asked.get("open") else None,
        "site": asked.get("site") or None,
        "technician": person.name if person.role is Post.TECHNICIAN else asked.get("technician") or None,
        "since": asked.get("since") or None,
    }
    problem = ""
    try:
        found = state.store.visits(**chosen, limit=MOST_LISTED)
    except BadInput as error:
        found, problem = [], str(error)
    going = [one for one in state.captures.open() if may_hear(request, one.about)]
    mine = [summary for summary in found if person.may_see(summary.technician)]
    return page(request, "visits.html", visits=mine, asked=asked, problem=problem, going=going, most=MOST_LISTED)


def visit(request: Request) -> Response:
    """One visit on one page."""
    kept = seen_visit(request)
    return _visit_page(request, kept)


def sound(request: Request) -> Response:
    """A recording; parts of it are sent on demand, so that a reading plays at once."""
    kept = seen_visit(request)
    path = state_of(request).store.sound_path(kept, request.path_params["recording"])
    kinds = {".flac": "audio/flac", ".wav": "audio/wav", ".mp3": "audio/mpeg", ".m4a": "audio/mp4", ".mp4": "audio/mp4"}
    return FileResponse(path, media_type=kinds.get(path.suffix, "audio/ogg"))


def attachment(request: Request) -> Response:
    """A photograph or paper: shown if it is a picture, else only to be saved."""
    kept = seen_visit(request)
    name = request.path_params["name"]
    path = state_of(request).store.attachment_path(kept, name)
    about = next(one for one in kept.attachments if one.name == name)
    shown = about.media_type in ("image/jpeg", "image/png", "image/webp", "image/gif")
    kind = about.media_type if shown else "application/octet-stream"
    return FileResponse(
        path,
        media_type=kind,
        filename=about.original_name,
        content_disposition_type="inline" if shown else "attachment",
    )


def correct(request: Request) -> Response:
    """Put a reading right: a value chosen, fields changed, confirmed, or called no reading."""
    kept, form = seen_visit(request), request.state.form
    target = request.path_params["reading"]
    reading = next((one for one in current(kept).readings if one.id == target), None)
    if reading is None:
        raise NotFound("There is no such reading in this visit.")
    changes = _wanted(reading, form)
    why = str(form.get("why", "")).strip() or _because(changes)
    made = sum(1 for one in kept.corrections if one.target == target)
    if str(form.get("seen", made)) != str(made):
        if _holds(reading, changes):
            return to(f"/visits/{kept.code}#r-{target}")  # the same again: a double click, or two of one mind
        raise Refused(409, f"Somebody else corrected this reading; it reads {wording.amount_text(reading)} now.")
    if not changes:
        raise BadInput("Nothing would change: it reads like that already.")
    return _changed(request, kept, lambda by: _store_correct(request, kept, target, changes, by, why), f"#r-{target}")


def overrule(request: Request) -> Response:
    """Say what holds instead of a verdict; both stay."""
    kept, form = seen_visit(request), request.state.form
    says, why = str(form.get("says", "")).strip(), str(form.get("why", "")).strip()
    target = request.path_params["verdict"]
    store = state_of(request).store
    return _changed(request, kept, lambda by: store.overrule(kept.code, target, says, by=by, why=why), f"#v-{target}")


def sign_off(request: Request) -> Response:
    """Close the visit; twice is once."""
    kept = seen_visit(request)
    if current(kept).status == "closed":
        return to(f"/visits/{kept.code}")
    store = state_of(request).store
    return _changed(request, kept, lambda by: store.sign_off(kept.code, by=by), "")


def attach(request: Request) -> Response:
    """Keep a photograph or paper with the visit."""
    kept, form = seen_visit(request), request.state.form
    file = form.get("file")
    if file is None or isinstance(file, str) or not file.filename:
        raise BadInput("Choose a photograph or a file first.")
    store, caption = state_of(request).store, str(form.get("caption", "")).strip()[:300]
    with tempfile.TemporaryDirectory(prefix="journal-attach-") as folder:
        path = Path(folder) / (Path(file.filename.replace("\\", "/")).name[-100:] or "file")
        path.write_bytes(file.file.read())
        return _changed(request, kept, lambda by: store.attach(kept.code, path, by=by, caption=caption), "#attached")


def seen_visit(request: Request) -> Visit:
    """Return the visit of the route, if it is for this person to see; somebody else's is as if it were not there."""
    kept = found_visit(request)
    if not person_of(request).may_see(current(kept).technician):
        raise Refused(403)
    return kept


def found_visit(request: Request) -> Visit:
    """Return the visit an address names; one that names none is not there, whatever it looks like."""
    try:
        return state_of(request).store.visit(request.path_params["code"])
    except BadInput as error:
        raise NotFound(str(error)) from None


def may_hear(request: Request, about: dict[str, Any]) -> bool:
    """Whether a capture that goes on is this person's: their own, or any for the office."""
    person = person_of(request)
    return person.role is Post.OFFICE or about.get("owner", "") == person.login


def _store_correct(request: Request, kept: Visit, target: str, changes: dict[str, str], by: str, why: str) -> Visit:
    state = state_of(request)
    return state.store.correct(
        kept.code, target, changes, by=by, why=why, judge=lambda now: judge_again(now, state.rules)
    )


def _changed(request: Request, kept: Visit, change: Callable[[str], Visit], place: str) -> Response:
    change(person_of(request).name)
    return to(f"/visits/{kept.code}{place}")


def _visit_page(request: Request, kept: Visit) -> Response:
    now = current(kept)
    drawn = page_of(now)
    changes = corrected_fields(kept)
    about = {
        reading.id: Desk(
            _choices(reading),
            _values(reading),
            changes.get(reading.id, ()),
            len(changes.get(reading.id, ())),
            tuple(
                line for line in (*drawn.verdicts, *drawn.undetermined) if reading.id in {r.id for r in line.rests_on}
            ),
        )
        for reading in now.readings
    }
    sounds = {recording.name: f"/visits/{kept.code}/sound/{recording.name}" for recording in now.recordings}
    units = [(unit.code, unit.symbol) for unit in unit_table().values()]
    return page(
        request, "visit.html",
        visit=now, drawn=drawn, desks=about, strips=strips_of(now, drawn), sounds=sounds, units=units,
        roles=list(Role), kinds=list(Kind), closed=now.status == "closed",
        history=state_of(request).store.history(kept.code),
    )  # fmt: skip


def _judged_by(reading: Reading, lines: tuple[VerdictLine, ...]) -> tuple[VerdictLine, ...]:
    """Return the verdicts that rest on a reading; of several with one name and one outcome, the first."""
    found: dict[tuple[str, str], VerdictLine] = {}
    for line in lines:
        if reading.id in {one.id for one in line.rests_on}:
            found.setdefault((line.title, line.word), line)
    return tuple(found.values())


def _choices(reading: Reading) -> tuple[Choice, ...]:
    found = {}
    for other in reading.alternatives:
        text = wording.alternative_text(other, reading)
        changes = _alternative(other)
        if changes and text not in found:
            found[text] = Choice(text, changes)
    return tuple(found.values())[:OTHERS]


def _alternative(other: Alternative) -> dict[str, str]:
    fields = {name: getattr(other, name) for name in ("value", "unit", "kind", "state")}
    return {name: str(value) for name, value in fields.items() if value is not None}


def _values(reading: Reading) -> dict[str, str]:
    return {
        "value": "" if reading.value is None else format(reading.value, "f"),
        "unit": reading.unit or "",
        "component": reading.component or "",
        "points": ", ".join(reading.points),
        "role": reading.role.value,
        "phase": reading.phase.value,
        "equipment": reading.equipment or "",
    }


def _wanted(reading: Reading, form: Any) -> dict[str, str]:
    """Return the fields a form changes: a choice by its number, a button, or the typed fields that differ."""
    if (number := str(form.get("choice", ""))).isdigit():
        choices = _choices(reading)
        if int(number) >= len(choices):
            raise Refused(409, f"That choice is gone; it reads {wording.amount_text(reading)} now.")
        return choices[int(number)].changes
    if form.get("confirm"):
        return {"confirmed": "yes"}
    if form.get("not_a_reading"):
        return {"not a reading": "yes"}
    if form.get("again"):
        return {"not a reading": "no"}
    before = _values(reading)
    typed = {name: str(form[name]).strip() for name in FIELDS if name in form}
    typed = {name: text for name, text in typed.items() if text != before[name]}
    if typed.get("value") and not _NUMBER.fullmatch(typed["value"]):
        raise BadInput("A value is a number as a meter shows it, such as 24.30.")
    return typed


def _holds(reading: Reading, changes: dict[str, str]) -> bool:
    values = {**_values(reading), "state": reading.state.value if reading.state else "", "kind": reading.kind.value}
    said = {
        "confirmed": "no" if reading.doubts else "yes",
        "not a reading": "yes" if reading.withdrawn else "no",
        **values,
    }
    return all(said.get(name) == text for name, text in changes.items())


def _because(changes: dict[str, str]) -> str:
    if "confirmed" in changes:
        return "listened again: it is right"
    return "listened again: no reading" if changes.get("not a reading") == "yes" else "listened again"
