"""The limit bar: a short line with its permitted span thick and the measured value as a tick on it.

Geometry only, in shares 0..1 of the line's length, so that terminal and record draw the same bar.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from journal.domain.verdict import Limit, Verdict
from journal.errors import BadInput
from journal.present.wording import bound_text, is_ratio, ratio_text, verdict_value
from journal.units import Amount, convert

ROOM = 0.35  # share of the permitted span that is shown beyond either end
FAR = 1.6  # a value further beyond a limit than this many spans is drawn at the edge, with an arrow


@dataclass(frozen=True, slots=True)
class Bar:
    """Where things lie on the line.

    ``permitted`` and ``marginal`` are (from, to); ``marginal`` contains ``permitted``.
    ``beyond`` is -1 or 1 when the value lies off the line, else 0.  ``low`` and ``high`` are the ends of the permitted
    span in words, empty where it is open; ``label`` is the value in words.
    """

    permitted: tuple[float, float]
    marginal: tuple[float, float]
    tick: float
    beyond: int
    low: str
    high: str
    label: str

    @property
    def described(self) -> str:
        """The bar in words, for those who cannot see it."""
        span = {
            (True, True): f"permitted {self.low} to {self.high}",
            (True, False): f"permitted from {self.low}",
            (False, True): f"permitted up to {self.high}",
        }.get((bool(self.low), bool(self.high)), "")
        return f"{self.label}; {span}"


def bars_of(verdict: Verdict) -> tuple[tuple[Limit, Bar | None], ...]:
    """Return each limit of a verdict with its bar; ``None`` where there is no value or no bound to draw."""
    return tuple((limit, bar_of(verdict, limit)) for limit in verdict.limits)


def bar_of(verdict: Verdict, limit: Limit) -> Bar | None:
    """Return the bar of a verdict's value on one limit, ``None`` if there is nothing to draw."""
    if verdict.value is None or verdict.unit is None:
        return None
    bounds = [None if b is None else float(b) for b in (limit.low, limit.high, limit.marginal_low, limit.marginal_high)]
    if all(bound is None for bound in bounds):
        return None
    try:
        value = float(convert(Amount(verdict.value, verdict.unit), limit.unit).value)
    except BadInput:
        return None
    left, right = _ends(value, bounds)

    def share(x: float) -> float:
        return min(max((x - left) / (right - left), 0.0), 1.0)

    low, high, marginal_low, marginal_high = bounds
    if low is None and high is None:
        low, high = marginal_low, marginal_high
    permitted = (0.0 if low is None else share(low), 1.0 if high is None else share(high))
    # A bound that is not repeated for the wider span is where the wider span ends too.
    wide_low = permitted[0] if marginal_low is None else min(permitted[0], share(marginal_low))
    wide_high = permitted[1] if marginal_high is None else max(permitted[1], share(marginal_high))
    return Bar(
        permitted=permitted,
        marginal=(wide_low, wide_high),
        tick=share(value),
        beyond=-1 if value < left else 1 if value > right else 0,
        low=_bound(verdict, limit, limit.low),
        high=_bound(verdict, limit, limit.high),
        label=verdict_value(verdict),
    )


def _bound(verdict: Verdict, limit: Limit, bound: Decimal | None) -> str:
    return ratio_text(bound) if bound is not None and is_ratio(verdict) else bound_text(bound, limit.unit)


def _ends(value: float, bounds: list[float | None]) -> tuple[float, float]:
    """Choose what the line shows: all bounds, some room, and the value unless it is far away."""
    known = [bound for bound in bounds if bound is not None]
    least, most = min(known), max(known)
    span = (most - least) or abs(most) or abs(value) or 1.0
    closed = bounds[0] is not None and bounds[1] is not None
    room = span * (ROOM if closed else 1.0)
    left, right = least - room, most + room
    if least - FAR * span <= value < left + 0.06 * span:
        left = value - 0.1 * span
    elif right - 0.06 * span < value <= most + FAR * span:
        right = value + 0.1 * span
    return left, right
