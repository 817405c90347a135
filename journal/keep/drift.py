"""Slow drifts of one machine, visit by visit: a winding, a capacitor, a superheat, a charge."""

from __future__ import annotations

import datetime as dt
import tomllib
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from importlib import resources
from statistics import median
from typing import Any

from journal.domain.reading import Phase
from journal.domain.unit_table import symbol_of
from journal.errors import BadInput
from journal.keep.machines import Place, Point
from journal.keep.trend import slope_of
from journal.units import Amount, convert

_DAYS_A_YEAR = 365.25
#: the unit in which two temperatures differ
_DIFFERENCES = {"degF": "delta_degF", "degC": "delta_degC", "degK": "delta_degC"}


@dataclass(frozen=True, slots=True)
class Drift:
    """A change that is more than chance: from ``first`` to ``last`` in ``unit``, over ``visits`` visits."""

    place: Place
    unit: str
    first: float
    last: float
    per_year: float
    visits: int
    since: str
    until: str
    chance: float

    @property
    def sentence(self) -> str:
        """What to tell a person; it names numbers and time, and no cause."""
        way = "risen" if self.last > self.first else "fallen"
        symbol = symbol_of(self.unit)
        return (
            f"{self.place} has {way} from {self.first:.4g} to {self.last:.4g} {symbol} over {self.visits} visits"
            f" ({self.since[:10]} to {self.until[:10]})."
        )


@cache
def thresholds() -> dict[str, Any]:
    """Return the figures of ``drift.toml``."""
    return tomllib.loads(resources.files("journal.keep").joinpath("drift.toml").read_text(encoding="utf-8"))


def drift_of(place: Place, points: Sequence[Point], renewed: str | None = None) -> Drift | None:
    """Return the drift of a series, oldest first, or ``None``.

    One number a visit counts: the median of those as found, in the unit of the last.  Doubtful numbers do not count,
    nor what was read before ``renewed``, the moment of the visit on which the component was replaced.
    """
    limits = thresholds()
    unit = next((point.reading.unit for point in reversed(points) if point.reading.unit), None)
    if unit is None:
        return None
    days, numbers, moments = _numbers(points, unit, renewed)
    if len(numbers) < limits["least_visits"] or len(set(days)) < 2:
        return None
    trend = slope_of(days, numbers)
    middle = median(numbers)
    first, last = (middle + trend.slope * (day - median(days)) for day in (days[0], days[-1]))
    if trend.chance > limits["chance"] or not _worth_a_word(place, unit, first, last):
        return None
    return Drift(
        place, unit, first, last, trend.slope * _DAYS_A_YEAR, len(numbers), moments[0], moments[-1], trend.chance
    )


def _numbers(points: Sequence[Point], unit: str, renewed: str | None) -> tuple[list[float], list[float], list[str]]:
    by_visit: dict[tuple[str, str], dict[Phase, list[float]]] = defaultdict(lambda: defaultdict(list))
    for point in points:
        reading = point.reading
        before = renewed is not None and (
            point.moment < renewed or (point.moment == renewed and reading.phase is Phase.AS_FOUND)
        )
        number = _number(reading.number, reading.unit, unit)
        if number is not None and not reading.needs_listening and not before:
            by_visit[point.moment, point.visit][reading.phase].append(number)
    days, numbers, moments = [], [], []
    for (moment, _), phases in sorted(by_visit.items()):
        days.append(dt.datetime.fromisoformat(moment).timestamp() / 86_400)
        numbers.append(median(phases.get(Phase.AS_FOUND) or phases[Phase.AS_LEFT]))
        moments.append(moment)
    return days, numbers, moments


def _number(value: Decimal | None, unit: str | None, wanted: str) -> float | None:
    if value is None or unit is None:
        return None
    try:
        return float(convert(Amount(value, unit), wanted).value)
    except BadInput:
        return None


def _worth_a_word(place: Place, unit: str, first: float, last: float) -> bool:
    limits = thresholds()
    least = limits["kinds"].get(str(place.kind), limits["default"])
    if "percent" in least:
        return bool(first != 0 and abs(last - first) / abs(first) * 100 >= least["percent"])
    as_difference = _DIFFERENCES.get(unit, unit)
    change = convert(Amount(Decimal(repr(last - first)), as_difference), least["unit"]).value
    return bool(abs(float(change)) >= least["change"])
