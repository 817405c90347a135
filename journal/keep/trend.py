"""Is a short series of numbers going somewhere?  Two tests that one wild value cannot fool.

The slope is Theil's and Sen's: the median of the slopes between all pairs (P. K. Sen, J. Am. Stat. Assoc. 63 (1968)
1379).  Whether the order is more than chance is Mann's and Kendall's S (H. B. Mann, Econometrica 13 (1945) 245): exact
for up to ten numbers without ties, else by the normal approximation with Kendall's correction for ties.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from statistics import median

_EXACT_UP_TO = 10


@dataclass(frozen=True, slots=True)
class Slope:
    """``slope`` in units of y per unit of x; ``chance``: two-sided probability of an order like this by accident."""

    slope: float
    chance: float


def slope_of(x: Sequence[float], y: Sequence[float]) -> Slope:
    """Return the trend of ``y`` over ``x``.  Needs two different ``x`` at least, else ``ValueError``."""
    pairs = [(x[j] - x[i], y[j] - y[i]) for i, j in combinations(range(len(x)), 2) if x[j] != x[i]]
    if not pairs:
        raise ValueError("a trend needs two moments at least")
    return Slope(median(dy / dx for dx, dy in pairs), _chance(y))


def _chance(y: Sequence[float]) -> float:
    n = len(y)
    s = sum(_sign(y[j] - y[i]) for i, j in combinations(range(n), 2))
    ties = [count for count in Counter(y).values() if count > 1]
    if n <= _EXACT_UP_TO and not ties:
        return _exact(n, s)
    variance = (n * (n - 1) * (2 * n + 5) - sum(t * (t - 1) * (2 * t + 5) for t in ties)) / 18
    if variance <= 0:
        return 1.0
    return math.erfc(max(abs(s) - 1, 0) / math.sqrt(variance) / math.sqrt(2))


def _exact(n: int, s: int) -> float:
    """Probability of an |S| at least as large among all orders of ``n`` numbers, by counting inversions."""
    orders = [1]
    for size in range(2, n + 1):
        longer = [0] * (len(orders) + size - 1)
        for inversions, count in enumerate(orders):
            for more in range(size):
                longer[inversions + more] += count
        orders = longer
    most = n * (n - 1) // 2
    rare = sum(count for inversions, count in enumerate(orders) if abs(most - 2 * inversions) >= abs(s))
    return rare / math.factorial(n)


def _sign(value: float) -> int:
    return (value > 0) - (value < 0)
