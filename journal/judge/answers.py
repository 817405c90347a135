"""From a number and its limits to a decision, with one sentence a customer understands.

Source and severity are apart: how far outside a value lies is the outcome, on whose word is the authority, and only
the words follow both.  On usual practice nothing is ever condemned, and no sentence calls a circuit safe.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from journal.domain.unit_table import symbol_of
from journal.domain.verdict import Authority, Limit, Outcome
from journal.judge.check import MARGINAL, OUTSIDE, UNDETERMINED, WITHIN, Case, Decision
from journal.judge.entries import Entry
from journal.judge.numbers import clean, show, shown

_WHOSE = {
    Authority.NAMEPLATE: "what the nameplate permits",
    Authority.MAKER: "the maker's limits",
    Authority.STANDARD: "the limits of the standard",
    Authority.REGULATION: "the limits of the regulation named",
    Authority.PHYSICS: "what is physically sound",
    Authority.COMPANY: "the company's limits",
    Authority.PRACTICE: "usual practice",
    Authority.MEMORY: "usual practice",
}
_SEVERITY = {WITHIN: 0, MARGINAL: 1, OUTSIDE: 2}


def place(value: Decimal, limit: Limit, worst: Outcome = OUTSIDE) -> tuple[Outcome, str]:
    """Return where a value lies and on which side (``within``, ``low``, ``high``); bounds belong to the span.

    >>> place(Decimal("253"), Limit("volt", Decimal("187.2"), Decimal("253"), source="worked by hand"))[0].value
    'within'
    """
    value = clean(value)
    if limit.low is not None and value < limit.low:
        edge = limit.marginal_low is not None and value >= limit.marginal_low
        return (MARGINAL if edge else worst), "low"
    if limit.high is not None and value > limit.high:
        edge = limit.marginal_high is not None and value <= limit.marginal_high
        return (MARGINAL if edge else worst), "high"
    return WITHIN, "within"


def span(limit: Limit) -> str:
    """Return a permitted span in words: ``187.2 to 253 V``, ``at most 10 %``.

    >>> span(Limit("megaohm", low=Decimal("2"), source="worked by hand"))
    'at least 2 MΩ'
    """
    unit = symbol_of(limit.unit).replace("Δ", "")
    if limit.low is not None and limit.high is not None:
        if limit.low == limit.high:
            return f"{show(limit.low)} {unit}".strip()
        return f"{show(limit.low)} to {show(limit.high)} {unit}".strip()
    if limit.low is not None:
        return f"at least {show(limit.low)} {unit}".strip()
    if limit.high is not None:
        return f"at most {show(limit.high)} {unit}".strip()
    return ""


def judged(
    case: Case,
    value: Decimal,
    bound: Entry,
    formula: str,
    *,
    grain: Decimal = Decimal(0),
    finer: str = "",
    subject: str = "",
    means: Mapping[str, str] | None = None,
    cautions: tuple[str, ...] = (),
    note: str = "",
) -> Decision:
    """Return the decision on a value in its limit's unit.

    ``grain`` is what the instrument cannot tell: where it spans two outcomes the answer is undetermined, and
    ``finer`` says what to measure next.  ``note`` is a clause added to the sentence.
    """
    limit = bound.limit
    outcome, side = place(value, limit, bound.worst)
    if grain and len({place(v, limit, bound.worst)[0] for v in (value - grain, value, value + grain)}) > 1:
        return undetermined(
            case,
            finer or "the same quantity with an instrument that tells it apart from its limit",
            why=f"{shown(value, limit.unit)} lies closer to its limit ({span(limit)}) than ±{show(grain, 2)} can tell",
            value=value,
            unit=limit.unit,
            formula=formula,
            limits=(limit,),
            authority=limit.authority,
            cautions=cautions,
        )
    words = dict(case.check.means) | dict(means or {})
    sentence = _sentence(case, value, limit, outcome, subject or case.check.subject)
    meaning = words.get(side if outcome is not MARGINAL else "marginal", "") or words.get(side, "")
    remedy = case.check.remedy.get(side, "") if outcome is OUTSIDE and limit.authority.may_condemn else ""
    tail = "; ".join(part.format(component=case.part) for part in (meaning, remedy, note, _company(limit)) if part)
    return Decision(
        outcome,
        f"{sentence}: {tail}." if tail else f"{sentence}.",
        limit.authority,
        value,
        limit.unit,
        formula,
        (limit,),
        limit.source,
        cautions=cautions,
    )


def _sentence(case: Case, value: Decimal, limit: Limit, outcome: Outcome, subject: str) -> str:
    whose, permitted = _WHOSE[limit.authority], span(limit)
    where = {WITHIN: "within", MARGINAL: "at the edge of", OUTSIDE: "outside"}[outcome]
    permitted = f" ({permitted})" if permitted else ""
    return f"{opening(case, subject)} is {shown(value, limit.unit)}, {where} {whose}{permitted}"


def _company(limit: Limit) -> str:
    return f"judged by a limit changed in {limit.changed_by}" if limit.changed_by else ""


def opening(case: Case, subject: str = "") -> str:
    text = (subject or case.check.subject).format(component=case.part)
    return text[:1].upper() + text[1:]


def stated(
    case: Case,
    outcome: Outcome,
    plain: str,
    authority: Authority,
    *,
    value: Decimal | None = None,
    unit: str | None = None,
    formula: str = "",
    source: str = "",
    limits: tuple[Limit, ...] = (),
    cautions: tuple[str, ...] = (),
) -> Decision:
    """Return a decision that follows from a state or a pattern and no single span."""
    source = source or (limits[0].source if limits else "")
    return Decision(
        outcome, plain.format(component=case.part), authority, value, unit, formula, limits, source, (), cautions
    )


def undetermined(
    case: Case,
    *missing: str,
    why: str = "",
    value: Decimal | None = None,
    unit: str | None = None,
    formula: str = "",
    limits: tuple[Limit, ...] = (),
    authority: Authority = Authority.PRACTICE,
    cautions: tuple[str, ...] = (),
) -> Decision:
    """Return 'can't tell yet', with what to measure next."""
    reason = f" ({why})" if why else ""
    need = "; ".join(m.format(component=case.part) for m in missing)
    return Decision(
        UNDETERMINED,
        f"{opening(case)}: can't tell yet{reason}; need {need}.",
        authority,
        value,
        unit,
        formula,
        limits,
        limits[0].source if limits else "",
        tuple(m.format(component=case.part) for m in missing),
        cautions,
    )


def worst_of(decisions: list[Decision]) -> Decision:
    """Return the severest of several decisions; an undetermined one stands between marginal and outside."""
    rank = {WITHIN: 0, MARGINAL: 1, UNDETERMINED: 2, OUTSIDE: 3}
    return max(decisions, key=lambda d: rank[d.outcome])
