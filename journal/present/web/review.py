"""The list of visits, and a visit on one page with its sound and its papers."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import Any

from starlette.requests import Request
from starlette.responses import FileResponse, Response

from journal.domain.reading import Reading, Role
from journal.domain.verdict import Outcome
from journal.domain.visit import Correction, Visit
from journal.errors import BadInput
from journal.keep.corrections import corrected_fields, current
from journal.keep.overview import VisitSummary
from journal.present.billing import bill_of
from journal.present.compose import page_of
from journal.present.page import VerdictLine
from journal.present.record_fields import known_fields
from journal.present.strip import strips_of
from journal.present.web.access import may_hear, person_of, seen_visit, state_of
from journal.present.web.correcting import choices_of, known_units, values_of
from journal.present.web.drawing import page
from journal.present.web.machines import looks_back
from journal.present.web.people import Role as Post
from journal.present.wording import moment_text

MOST_LISTED = 200
VIEWS = {"outcome=outside": "Out of limits", "doubtful=1": "To listen to", "open=1": "Not signed off"}


@dataclass(frozen=True, slots=True)
class Desk:
    """What the review offers for one reading: choices, the form's present values, and how it came to be so."""

    choices: tuple[tuple[str, dict[str, str]], ...]
    values: dict[str, str]
    changes: tuple[Correction, ...]
    seen: int
    verdicts: tuple[VerdictLine, ...]


def visits(request: Request) -> Response:
    """The list: what is outside limits, doubtful, unfinished; and the captures that go on."""
    state, person = state_of(request), person_of(request)
    asked = {name: value.strip() for name, value in request.query_params.items() if value.strip()}
    outcome = asked.get("outcome", "")
    chosen: dict[str, Any] = {
        "text": asked.get("text"),
        "outcome": Outcome(outcome) if outcome in list(Outcome) else None,
        "doubtful": True if asked.get("doubtful") else None,
        "open": True if asked.get("open") else None,
        "site": asked.get("site"),
        "equipment": asked.get("machine"),
        "technician": person.name if person.role is Post.TECHNICIAN else asked.get("technician"),
        "since": asked.get("since"),
        "until": asked.get("until"),
    }
    problem = ""
    try:
        found = state.store.visits(**chosen, limit=MOST_LISTED)
    except BadInput as error:
        found, problem = [], str(error)
    going = [one for one in state.captures.open() if may_hear(request, one.about)]
    spoken = {one.id for one in going}
    mine = [summary for summary in found if person.may_see(summary.technician) and summary.id not in spoken]
    view = "&".join(f"{name}={value}" for name, value in asked.items())
    return page(
        request, "visits.html",
        days=_by_day(mine), count=len(mine), asked=asked, problem=problem, going=going, most=MOST_LISTED,
        view=view, views={"": "All", **VIEWS},
        narrowed=len(asked.keys() - {"text"}) > (view in VIEWS),
    )  # fmt: skip


def _by_day(found: list[VisitSummary]) -> list[tuple[str, list[VisitSummary]]]:
    """Return visits under the days on which they began, in their order."""
    days = groupby(found, key=lambda one: moment_text(one.started or one.made).partition(",")[0])
    return [(day, list(visits)) for day, visits in days]


def visit(request: Request) -> Response:
    """One visit on one page."""
    kept = seen_visit(request)
    now = current(kept)
    drawn = page_of(now)
    sounds = {recording.name: f"/visits/{kept.code}/sound/{recording.name}" for recording in now.recordings}
    return page(
        request, "visit.html",
        visit=now, drawn=drawn, desks=_desks(kept, now, (*drawn.verdicts, *drawn.undetermined)),
        strips=strips_of(now, drawn), sounds=sounds, bill=bill_of(now), looks_back=looks_back(request, now),
        units=known_units(), roles=list(Role),
        facts=tuple(known_fields().values()), closed=now.status == "closed",
        history=state_of(request).store.history(kept.code), next=_next_open(request, now),
    )  # fmt: skip


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


def _next_open(request: Request, now: Visit) -> VisitSummary | None:
    """Return the visit to go on with: the next earlier one that is not signed off, else the latest such one."""
    person = person_of(request)
    mine = person.name if person.role is Post.TECHNICIAN else None
    left = [one for one in state_of(request).store.visits(open=True, technician=mine) if person.may_see(one.technician)]
    left = [one for one in left if one.code != now.code]
    moment = now.started or now.made
    return next((one for one in left if (one.started or one.made) <= moment), left[0] if left else None)


def _desks(kept: Visit, now: Visit, lines: tuple[VerdictLine, ...]) -> dict[str, Desk]:
    changes = corrected_fields(kept)
    return {
        reading.id: Desk(
            choices_of(reading),
            values_of(reading),
            changes.get(reading.id, ()),
            len(changes.get(reading.id, ())),
            _judged_by(reading, lines),
        )
        for reading in now.readings
    }


def _judged_by(reading: Reading, lines: tuple[VerdictLine, ...]) -> tuple[VerdictLine, ...]:
    """Return the verdicts that rest on a reading; of several with one name and one outcome, the first."""
    found: dict[tuple[str, str], VerdictLine] = {}
    for line in lines:
        if reading.id in {one.id for one in line.rests_on}:
            found.setdefault((line.title, line.word), line)
    return tuple(found.values())
