"""Verdicts, causes and cautions of a page: the worst first, each caution once, a person's word beside the journal's."""

from __future__ import annotations

from dataclasses import replace

from journal.domain.verdict import Limit, Outcome, Verdict
from journal.domain.visit import Correction, Visit
from journal.present import wording
from journal.present.limit_bar import Bar, bars_of
from journal.present.page import CauseLine, ReadingLine, VerdictLine

OVERRULED = "overruled"  # the field of a correction that says what holds instead of a verdict
_WORST_FIRST = ("outside", "marginal", OVERRULED, "undetermined", "within")


def verdict_line(
    verdict: Verdict, number: int, visit: Visit, lines: dict[str, ReadingLine], customer: bool
) -> VerdictLine:
    """Return a verdict as a line; ``number`` is the one by which it is overruled."""
    ruling = _ruling(visit, verdict.id)
    if ruling and customer:
        return _persons_verdict(verdict, ruling)
    doubt = ""
    if verdict.rests_on_doubt:
        doubt = "rests on a reading that needs listening" if not customer else "rests on a number still to be confirmed"
        if verdict.doubt_note and not customer:
            doubt += f": {verdict.doubt_note}"
    machine = verdict.equipment if len(visit.equipment) > 1 else None
    where = [machine, verdict.component, verdict.phase if verdict.phase != "as found" else None]
    return VerdictLine(
        id=verdict.id,
        title=verdict.title or verdict.check,
        outcome=verdict.outcome.value,
        word=wording.outcome_text(verdict.outcome, verdict.authority),
        plain=verdict.plain,
        formula="" if customer else verdict.formula,
        value=wording.verdict_value(verdict),
        limits=tuple(_limit(verdict, limit, bar, customer) for limit, bar in bars_of(verdict)),
        source="" if customer or any(verdict.source in limit.source for limit in verdict.limits) else verdict.source,
        cautions=() if customer else verdict.cautions,
        rests_on=tuple(lines[i] for i in verdict.readings if i in lines),
        missing=verdict.missing,
        doubt=doubt,
        where=", ".join(part for part in where if part),
        overruled=_ruling_text(ruling),
        n=number,
    )


def _ruling(visit: Visit, target: str) -> Correction | None:
    """Return the last word of a person on a verdict or a cause."""
    return next((c for c in reversed(visit.corrections) if c.target == target and c.field == OVERRULED), None)


def _ruling_text(ruling: Correction | None) -> str:
    return f"overruled by {ruling.by}: {ruling.after}, because {ruling.why}" if ruling else ""


def _persons_verdict(verdict: Verdict, ruling: Correction) -> VerdictLine:
    """Return what the customer's copy shows of an overruled verdict: the person's words, none of the journal's."""
    word, title = f"in {ruling.by}'s judgement", verdict.title or verdict.check
    return VerdictLine(
        id=verdict.id, title=title, outcome=OVERRULED, word=word, plain=ruling.after, formula="", value="", limits=(),
        source="", cautions=(), rests_on=(), missing=(), doubt="", where=verdict.component or "", overruled="",
    )  # fmt: skip


def causes_of(visit: Visit, customer: bool) -> tuple[CauseLine, ...]:
    """Return the causes; a customer reads only what a person says of them."""
    lines = []
    for number, cause in enumerate(visit.diagnoses, start=1):
        ruling = _ruling(visit, cause.id)
        if not customer:
            said = _ruling_text(ruling)
            lines.append(CauseLine(cause.title, cause.because, cause.confirm, cause.proposed_by, said, number))
        elif ruling:
            lines.append(CauseLine(ruling.after, "", "", ruling.by, ""))
        elif cause.proposed_by != "journal":
            lines.append(CauseLine(cause.title, cause.because, "", cause.proposed_by, ""))
    return tuple(lines)


def worst_first(lines: list[VerdictLine]) -> list[VerdictLine]:
    """Return verdicts, the worst first, with each caution beside the first one out of limits only.

    A caution that is read ten times is read no more.
    """
    shown: set[str] = set()
    kept = []
    for line in sorted(lines, key=lambda line: _WORST_FIRST.index(line.outcome)):
        mine = tuple(c for c in line.cautions if line.outcome == Outcome.OUTSIDE.value and c not in shown)
        shown.update(mine)
        kept.append(replace(line, cautions=mine))
    return kept


def cautions_of(visit: Visit, lines: list[VerdictLine]) -> tuple[str, ...]:
    """Return the cautions of the visit and of its verdicts, each once, save those that stand beside a verdict."""
    beside = {caution for line in lines for caution in line.cautions}
    every = [*visit.cautions, *(caution for verdict in visit.verdicts for caution in verdict.cautions)]
    return tuple(caution for caution in dict.fromkeys(every) if caution not in beside)


def _limit(verdict: Verdict, limit: Limit, bar: Bar | None, customer: bool) -> tuple[str, str, Bar | None]:
    span = wording.limit_text(limit, as_ratio=wording.is_ratio(verdict))
    return span, "" if customer else wording.limit_source(limit), bar


def left_behind(visit: Visit) -> tuple[str, ...]:
    """Return the hazards that stay at the place; a verdict that a person overruled leaves none."""
    from journal.judge import cautions

    return cautions.left_behind([v for v in visit.verdicts if not _ruling(visit, v.id)], visit.equipment)
