"""One machine over its visits: what it showed last time, how that drifts, plots; people see their own visits only."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from journal.domain.visit import Visit
from journal.errors import BadInput, NotFound
from journal.keep import Machine
from journal.keep.machines import Place, Point, machine_of, place_of
from journal.keep.overview import VisitSummary
from journal.present.plot import plot_svg
from journal.present.web.access import person_of, state_of
from journal.present.web.drawing import page
from journal.present.web.problems import Refused
from journal.present.wording import amount_text, remark

NARROW = 380  # width of a plot in its own units: read on a telephone, two side by side on a desk


@dataclass(frozen=True, slots=True)
class Then:
    """What a place showed: (when, visit, amount, remark), the latest first; the drift in words; the plot."""

    place: str
    shown: tuple[tuple[str, str, str, str], ...]
    drift: str
    plot: Markup


@dataclass(frozen=True, slots=True)
class Past:
    """One machine: what it is called, where its page is, its visits (the latest first), and what its places showed."""

    name: str
    address: str
    visits: tuple[VisitSummary, ...]
    places: tuple[Then, ...]


def machine(request: Request) -> Response:
    """The page of one machine, named by its serial, or by its name and site."""
    asked = {name: request.query_params.get(name, "").strip() or None for name in ("serial", "name", "site")}
    if not (asked["serial"] or asked["name"]):
        raise NotFound("Say which machine: the visits name them.")
    past = past_of(request, Machine(**asked))
    if not past.visits:
        raise Refused(403)
    return page(request, "machine.html", past=past)


def looks_back(request: Request, visit: Visit) -> tuple[Past, ...]:
    """Return, for each machine of a visit that was visited before, what this visit's places showed by then."""
    found = []
    here = {place_of(reading) for reading in visit.readings if not reading.withdrawn}
    for one in visit.equipment:
        try:
            past = past_of(request, machine_of(visit, one.name), only=here, before=visit)
        except (BadInput, NotFound):  # two machines of one name in one visit, or a visit that is not found by it
            continue
        if past.visits:
            found.append(past)
    return tuple(found)


def past_of(request: Request, wanted: Machine, *, only: set[Place] | None = None, before: Visit | None = None) -> Past:
    """Return a machine's past as this person may see it.

    ``only``: these places; ``before``: what was shown on visits before this one, no plots.  A drift is told only to
    those who may see every reading it rests on.
    """
    store, person = state_of(request).store, person_of(request)
    all_visits = store.machine_visits(wanted)
    seen = [one for one in all_visits if person.may_see(one.technician)]
    series = store.machine_series(wanted)
    drifts = {drift.place: drift.sentence for drift in store.machine_drifts(wanted)} if seen == all_visits else {}
    codes = {one.code for one in seen}
    moment = (before.started or before.made) if before else ""
    places = []
    for place, points in series.items():
        mine = [point for point in points if point.visit in codes]
        told = [p for p in mine if before is None or (p.visit != before.code and p.moment <= moment)]
        if told and (only is None or place in only):
            places.append(_then(place, told, drifts.get(place, ""), drawn=before is None))
    earlier = [v for v in seen if before is None or (v.code != before.code and (v.started or v.made) <= moment)]
    return Past(_called(wanted, seen), address_of(wanted), tuple(earlier), tuple(places))


def address_of(wanted: Machine) -> str:
    """Return where the page of a machine is."""
    named = {"serial": wanted.serial, "name": wanted.name, "site": wanted.site}
    return "/machine?" + urlencode({name: value for name, value in named.items() if value})


def _then(place: Place, told: Sequence[Point], drift: str, *, drawn: bool) -> Then:
    shown = tuple((p.moment, p.visit, amount_text(p.reading), remark(p.reading)) for p in reversed(told))
    plot = plot_svg(place, told, NARROW) if drawn else ""
    return Then(str(place), shown, drift, Markup(plot))  # plot.py escapes every text


def _called(wanted: Machine, visits: Sequence[VisitSummary]) -> str:
    """A serial alone says little: the name and site of the last visit go with it."""
    if not wanted.serial or not visits:
        return str(wanted)
    return ", ".join(part for part in (visits[0].site, *visits[0].machines[:1], str(wanted)) if part)
