"""A whole visit judged: every check on every machine, what the verdicts together point to, and the cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from journal.domain.ids import new_id
from journal.domain.reading import Reading
from journal.domain.verdict import Diagnosis, Verdict
from journal.domain.visit import Equipment, Finding
from journal.judge import cautions
from journal.judge.diagnosis import diagnoses
from journal.judge.frame import verdict_of
from journal.judge.limits import LimitBook, default_book
from journal.judge.registry import CHECKS
from journal.judge.select import Bench, cases, machines
from journal.judge.surroundings import Surroundings


@dataclass(frozen=True, slots=True)
class Judgement:
    """What the checks say of one visit; ``cautions`` are sentences, each once."""

    verdicts: tuple[Verdict, ...] = ()
    diagnoses: tuple[Diagnosis, ...] = ()
    cautions: tuple[str, ...] = ()


def judge(
    readings: Sequence[Reading],
    equipment: Sequence[Equipment] = (),
    *,
    steps: Sequence[str] = (),
    findings: Sequence[Finding] = (),
    limits: LimitBook | None = None,
    surroundings: Surroundings | None = None,
) -> Judgement:
    """Return verdicts, diagnoses and cautions for the readings of one visit.

    ``steps`` are the topics of work that was announced; they call for cautions.  The order of ``readings`` is the
    order in which they were said.
    """
    book = limits or default_book()
    around = surroundings or Surroundings()
    verdicts: list[Verdict] = []
    proposed: list[Diagnosis] = []
    for bench in machines(readings, equipment, findings, book, around, steps):
        found = _verdicts(bench)
        verdicts.extend(found)
        proposed.extend(diagnoses(bench, found))
    topics = cautions.for_steps(steps, equipment)
    return Judgement(tuple(verdicts), tuple(proposed), tuple(cautions.text(topic) for topic in topics))


def _verdicts(bench: Bench) -> list[Verdict]:
    found = []
    for check in CHECKS.values():
        for case in cases(bench, check):
            verdict = verdict_of(case, new_id())
            if verdict is not None:
                found.append(verdict)
    return found
