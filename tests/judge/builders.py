"""Shorthand for judging invented readings: checks by hand, and whole visits with one verdict picked out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from journal.domain.reading import Reading
from journal.domain.verdict import Verdict
from journal.domain.visit import Equipment
from journal.judge import Judgement, LimitBook, judge, run_by_hand


def by_hand(name: str, limits: LimitBook | None = None, **given: str) -> Verdict:
    """Run one check by hand; underscores of the keywords stand for hyphens."""
    return run_by_hand(name, {key.replace("_", "-"): value for key, value in given.items()}, limits=limits)


def outcome(name: str, **given: str) -> str:
    return str(by_hand(name, **given).outcome)


def found(judgement: Judgement, check: str, **where: Any) -> Verdict:
    """Return the one verdict of a check (``phase``, ``component``, ``equipment`` narrow it)."""
    fitting = [
        v
        for v in judgement.verdicts
        if v.check == check and all(getattr(v, key) == value for key, value in where.items())
    ]
    assert len(fitting) == 1, f"{len(fitting)} verdicts of {check} {where}: {[v.check for v in judgement.verdicts]}"
    return fitting[0]


def checks_of(judgement: Judgement) -> set[str]:
    return {v.check for v in judgement.verdicts}


def judged(*readings: Reading, equipment: Sequence[Equipment] = (), **rest: Any) -> Judgement:
    return judge(readings, equipment, **rest)
