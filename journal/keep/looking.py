"""Finding visits, and looking at one from several sides."""

from __future__ import annotations

from journal.domain.kind import Kind
from journal.domain.reading import Role
from journal.domain.verdict import Outcome
from journal.domain.visit import Known, Visit
from journal.keep import drift, known, ledger, machines, overview, refrigerant, search, verifying, visits
from journal.keep.corrections import Assessment
from journal.keep.holding import Holding
from journal.keep.learning import Suggestion, suggestions
from journal.keep.machines import Machine, Place, Point


class Looking(Holding):
    """Reading what the store holds; nothing here writes."""

    def visits(
        self,
        *,
        text: str | None = None,
        since: str | None = None,
        until: str | None = None,
        site: str | None = None,
        technician: str | None = None,
        equipment: str | None = None,
        outcome: Outcome | None = None,
        doubtful: bool | None = None,
        open: bool | None = None,
        limit: int | None = None,
    ) -> list[overview.VisitSummary]:
        """Return the visits that fit every filter given, the latest first; ``search.Wanted`` explains the filters."""
        wanted = search.Wanted(text, since, until, site, technician, equipment, outcome, doubtful, open, limit)
        with self._database.read() as connection:
            return search.find(connection, wanted)

    def refrigerant_visits(
        self, *, since: str | None = None, until: str | None = None, site: str | None = None
    ) -> tuple[Visit, ...]:
        """Return the visits in which refrigerant was moved, the oldest first, only as far as a log of it needs them.

        See ``refrigerant.moved``; the filters are those of ``visits``.
        """
        with self._database.read() as connection:
            return refrigerant.moved(connection, since=since, until=until, site=site)

    def known_names(self) -> Known:
        """Return the sites and customers of earlier visits, for choosing from them by speech."""
        with self._database.read() as connection:
            return known.known_names(connection)

    def assessments(self, code: str) -> tuple[Assessment, ...]:
        """Return every judging of a visit, the first one first; the last one holds."""
        with self._database.read() as connection:
            return visits.read_assessments(connection, visits.number_of(connection, code))

    def machine_visits(self, machine: Machine) -> list[overview.VisitSummary]:
        """Return the visits to one machine, the latest first.  Raises ``NotFound``, or ``BadInput`` for several."""
        with self._database.read() as connection:
            return machines.visits_of(connection, machine)

    def machine_series(
        self,
        machine: Machine,
        *,
        kind: Kind | None = None,
        component: str | None = None,
        points: tuple[str, ...] | None = None,
        role: Role | None = Role.MEASURED,
    ) -> dict[Place, tuple[Point, ...]]:
        """Return what was read on one machine over time, by kind and place, the oldest first."""
        with self._database.read() as connection:
            return machines.series(connection, machine, kind=kind, component=component, points=points, role=role)

    def machine_drifts(self, machine: Machine) -> tuple[drift.Drift, ...]:
        """Return the slow drifts of one machine; a renewed component starts anew."""
        with self._database.read() as connection:
            found = machines.series(connection, machine)
            renewed = machines.renewals(connection, machine, drift.thresholds()["resets"])
        drifts = (drift.drift_of(place, points, renewed.get(place.component or "")) for place, points in found.items())
        return tuple(found for found in drifts if found is not None)

    def suggestions(self, visit: Visit) -> tuple[Suggestion, ...]:
        """Return what earlier corrections of the same technician suggest for this visit; nothing is applied."""
        with self._database.read() as connection:
            return suggestions(connection, visit)

    def verify(self, against: str | None = None) -> verifying.VerifyReport:
        """Look whether anything was changed behind the journal's back.

        ``against``: a head's digest kept from earlier, so that a cut tail or a rewritten store shows too.
        """
        with self._database.read() as connection:
            return verifying.verify(connection, self.folder, against)

    def history(self, code: str) -> tuple[ledger.Line, ...]:
        """Return what was done to a visit, by whom, when and why; a visit brought in starts with its earlier lines."""
        with self._database.read() as connection:
            return ledger.lines_of(connection, visits.number_of(connection, code))

    def lines(
        self, *, words: str = "", by: str = "", since: str = "", until: str = "", before: int | None = None,
        limit: int = 200,
    ) -> tuple[ledger.Line, ...]:  # fmt: skip
        """Return who did what in the whole store, the latest first; ``ledger.lines`` explains the filters."""
        with self._database.read() as connection:
            return ledger.lines(connection, words=words, by=by, since=since, until=until, before=before, limit=limit)
