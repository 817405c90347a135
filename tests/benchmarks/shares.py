"""Shares with their upper bounds: Clopper and Pearson's exact one-sided 95 % limit.

Clopper and Pearson, 'The use of confidence or fiducial limits illustrated in the case of the binomial', Biometrika
26(4), 1934.
"""

from __future__ import annotations

import math


def at_most(found: int, of: int, sureness: float = 0.95) -> float:
    """The share that lies above the true one with a probability of ``sureness``, when ``found`` of ``of`` were seen."""
    if of == 0 or found >= of:
        return 1.0
    low, high = found / of, 1.0
    for _ in range(60):
        middle = (low + high) / 2
        if _no_more_than(found, of, middle) > 1 - sureness:
            low = middle
        else:
            high = middle
    return high


def _no_more_than(found: int, of: int, share: float) -> float:
    """The chance of seeing ``found`` or fewer of ``of`` at a true ``share`` strictly between 0 and 1."""
    logs = (
        math.lgamma(of + 1) - math.lgamma(n + 1) - math.lgamma(of - n + 1)
        + n * math.log(share) + (of - n) * math.log1p(-share)
        for n in range(found + 1)
    )  # fmt: skip
    return sum(math.exp(log) for log in logs)


def shown(found: int, of: int) -> str:
    """'3 of 250: 1.2 % (<= 3.1 %)'; a dash where there was nothing to count."""
    if not of:
        return "-"
    return f"{found} of {of}: {100 * found / of:.1f} % (≤ {100 * at_most(found, of):.1f} %)"
