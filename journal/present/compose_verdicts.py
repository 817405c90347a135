"""Verdicts, causes and cautions of a page: the worst first, each caution once, a person's word beside the journal's."""

from __future__ import annotations

from dataclasses import replace

from journal.domain.reading import Phase
from journal.domain.verdict import Limit, Outcome, Verdict
from journal.domain.visit import Correction, Visit
from journal.present import wording
from journal.present.limit_bar import Bar, bars_of
from journal.present.page import CauseLine, ReadingLine, VerdictLine

OVERRULED = "overruled"  # the field of a correction that says what holds instead of a verdict
_WORST_FIRST = ("outside", "marginal", OVERRULED, "undetermined", "within")


def verdict_line(verdict: Verdict, visit: Visit, lines: dict[str, ReadingLine], customer: bool) -> VerdictLine:
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
        value=wording.measure_text(None if verdict.value is None else wording.rounded(verdict.value), verdict.unit),
        limits=tuple(_limit(limit, bar, customer) for limit, bar in bars_of(verdict)),
        source="" if customer or any(verdict.source in limit.source for limit in verdict.limits) else verdict.source,
        cautions=() if customer else verdict.cautions,
        rests_on=tuple(lines[i] for i in verdict.readings if i in lines),
        missing=verdict.missing,
        doubt=doubt,
        where=", ".join(part for part in where if part),
        overruled=_ruling_text(ruling),
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
    for cause in visit.diagnoses:
        ruling = _ruling(visit, cause.id)
        if not customer:
            lines.append(CauseLine(cause.title, cause.because, cause.confirm, cause.proposed_by, _ruling_text(ruling)))
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


def _limit(limit: Limit, bar: Bar | None, customer: bool) -> tuple[str, str, Bar | None]:
    return wording.limit_text(limit), "" if customer else wording.limit_source(limit), bar


def left_behind(visit: Visit) -> tuple[str, ...]:
    """Return the hazards that stay: of verdicts out of limits that no later one of the same check and place mends."""
    from journal.judge.cautions import topics

    stays = {caution.text: caution.left_behind for caution in topics().values() if caution.left_behind}
    mended = {
        (v.check, v.equipment, v.component)
        for v in visit.verdicts
        if v.phase == Phase.AS_LEFT.value and v.outcome is Outcome.WITHIN
    }
    left = [
        stays[caution]
        for verdict in visit.verdicts
        if verdict.outcome is Outcome.OUTSIDE
        and (verdict.check, verdict.equipment, verdict.component) not in mended
        and not _ruling(visit, verdict.id)
        for caution in verdict.cautions
        if caution in stays
    ]
    return tuple(dict.fromkeys(left))
