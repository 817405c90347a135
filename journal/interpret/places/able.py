"""The part that can show such a reading, where the one named cannot: a box has no amps, a gasket no volts, and whoever
measures at a wire measures what hangs on it."""

from __future__ import annotations

from collections.abc import Iterator

from journal.domain.kind import Kind
from journal.interpret.places.behind import led_to
from journal.interpret.places.case import Case
from journal.interpret.places.having import ELECTRICAL, shows
from journal.interpret.vocabulary import table

DRAWN = (Kind.CURRENT, Kind.RESISTANCE, Kind.POWER)


def part_that_can(case: Case) -> str | None:
    """'box is down to temperature so i'd expect eleven amps', 'took the leads off and it's two ohms': of the electrical
    part spoken of last."""
    if case.name is None or case.kind not in ELECTRICAL or not _cannot(case, case.name):
        return None
    return next((name for name in _spoken(case) if _can(case, name)), None)


def _cannot(case: Case, name: str) -> bool:
    body = table("components")[name]
    if body.get("weak"):
        return bool(body.get("generic")) or (case.carried and case.kind is Kind.CURRENT)
    if body.get("electrical") or body.get("whole") or shows(name, case.kind):
        return False
    return case.kind in DRAWN or not body.get("unsaid")


def _can(case: Case, name: str) -> bool:
    body = table("components")[name]
    passes = bool(body.get("passes")) and case.kind in DRAWN
    return bool(body.get("electrical")) and not body.get("weak") and not body.get("role") and not passes


def _spoken(case: Case) -> Iterator[str]:
    """The part tied to the number from behind, then those named before it, the nearest first."""
    board, item = case.board, case.sentence.items[case.place]
    named = list(board.labelled("component"))
    yield from (claim.value for claim in named if claim.first > item.last and led_to(board, item, claim))
    yield from reversed([claim.value for claim in named if claim.last < item.first])
    yield from case.around.context.spoken_lately()
