"""Builders of domain values for tests: one keyword for each thing that matters, sensible values for the rest.

    a_reading(ohm="3.9", points="common run", at=41.2, doubt="fifteen or fifty?", maybe=("50",))
    a_verdict("outside", value="12", unit="ohm", low="2", limit_unit="megaohm")
    a_visit(a_reading(volt="241"), a_verdict("within"), complaint="freezer is warm")

Units are keywords of ``a_reading``: the keyword names the unit, its value the number as text.
"""

from __future__ import annotations

import itertools
from decimal import Decimal
from typing import Any

from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Doubt, Evidence, Phase, Reading, Reference, Role, State, Trend
from journal.domain.speech import Utterance, Word
from journal.domain.unit_table import unit_table
from journal.domain.verdict import Authority, Diagnosis, Limit, Outcome, Verdict
from journal.domain.visit import (
    Attachment,
    Blanking,
    Correction,
    Equipment,
    Field,
    Finding,
    Note,
    Recording,
    Visit,
    WorkDone,
)

_ids = itertools.count(1)


def an_id() -> str:
    """Return a fresh identifier in the form of a UUIDv7, counted upwards so that failures read well."""
    return f"01900000-0000-7000-8000-{next(_ids):012x}"


def a_reading(
    *,
    kind: Kind | str | None = None,
    points: str | tuple[str, ...] = (),
    role: Role | str = Role.MEASURED,
    phase: Phase | str = Phase.AS_FOUND,
    low: str | None = None,
    high: str | None = None,
    state: State | str | None = None,
    unit: str | None = None,
    trend: Trend | str | None = None,
    reference: Reference | str | None = None,
    said: str | None = None,
    at: float | None = 10.0,
    recording: str = "r1",
    confidence: float = 0.95,
    doubt: str | tuple[str, ...] = (),
    maybe: tuple[str, ...] = (),
    id: str | None = None,
    **rest: Any,
) -> Reading:
    """Return a reading; ``volt="241"`` gives value and unit, ``low``/``high``/``state`` need ``unit`` or ``kind``.

    ``at`` is the second its words begin (``None``: no evidence); ``doubt`` one reason or several; ``maybe``
    other values.
    """
    units = [name for name in rest if name in unit_table()]
    value = Decimal(rest.pop(units[0])) if units else None
    unit = units[0] if units else unit
    if kind is None:
        kind = unit_table()[unit].kinds[0] if unit else Kind.RESISTANCE
    points = tuple(points.split()) if isinstance(points, str) else points
    said = said or " ".join([*points, str(value if value is not None else (state or low or high))])
    count = max(len(said.split()), 1)
    evidence = None if at is None else Evidence(recording, 0, 0, count - 1, at, at + 0.4 * count, said, confidence)
    reasons = (doubt,) if isinstance(doubt, str) else doubt
    return Reading(
        kind=Kind(kind),
        role=Role(role),
        value=value,
        low=None if low is None else Decimal(low),
        high=None if high is None else Decimal(high),
        state=None if state is None else State(state),
        trend=None if trend is None else Trend(trend),
        reference=None if reference is None else Reference(reference),
        unit=unit,
        points=points,
        phase=Phase(phase),
        doubts=tuple(Doubt("confusable", reason) for reason in reasons),
        alternatives=tuple(Alternative(value=Decimal(other), why="sounds alike") for other in maybe),
        evidence=evidence,
        id=id or an_id(),
        **rest,
    )


def a_limit(
    low: str | None = None,
    high: str | None = None,
    unit: str = "volt",
    *,
    marginal_low: str | None = None,
    marginal_high: str | None = None,
    authority: Authority | str = Authority.NAMEPLATE,
    source: str = "the unit's own plate",
    **rest: Any,
) -> Limit:
    """Return a limit; a bound left out is open."""
    bounds = {"low": low, "high": high, "marginal_low": marginal_low, "marginal_high": marginal_high}
    numbers: dict[str, Any] = {name: Decimal(bound) for name, bound in bounds.items() if bound is not None}
    return Limit(unit=unit, authority=Authority(authority), source=source, **numbers, **rest)


def a_verdict(
    outcome: Outcome | str = Outcome.WITHIN,
    *,
    check: str = "supply-voltage",
    title: str = "Supply voltage",
    plain: str = "The supply voltage fits the machine.",
    authority: Authority | str = Authority.NAMEPLATE,
    value: str | None = None,
    unit: str | None = None,
    limits: tuple[Limit, ...] = (),
    missing: tuple[str, ...] = (),
    readings: tuple[str, ...] = (),
    id: str | None = None,
    **rest: Any,
) -> Verdict:
    """Return a verdict; an undetermined one misses 'a reading' unless told otherwise."""
    outcome = Outcome(outcome)
    if outcome is Outcome.UNDETERMINED and not missing:
        missing = ("a reading",)
    return Verdict(
        check=check,
        version=1,
        title=title,
        outcome=outcome,
        authority=Authority(authority),
        plain=plain,
        value=None if value is None else Decimal(value),
        unit=unit,
        limits=limits,
        missing=missing,
        readings=readings,
        id=id or an_id(),
        **rest,
    )


def an_utterance(text: str, *, at: float = 10.0, recording: str = "r1", index: int = 0) -> Utterance:
    """Return an utterance of evenly timed words, 0.4 s each."""
    words = tuple(Word(word, at + 0.4 * n, at + 0.4 * (n + 1), 0.95) for n, word in enumerate(text.split()))
    return Utterance(recording, index, words)


def a_recording(name: str = "r1", *, seconds: float = 120.0, file: str = "", **rest: Any) -> Recording:
    """Return a recording of the given length."""
    return Recording(
        name=name,
        file=file or f"recordings/{name}.opus",
        original_name=f"{name}.opus",
        sha256="0" * 64,
        seconds=seconds,
        rate=16_000,
        channels=1,
        model="trade-english",
        **rest,
    )


def a_correction(
    target: str, *, field: str = "value", before: str = "15", after: str = "50", by: str = "Ines Okafor", **rest: Any
) -> Correction:
    """Return a correction with a reason."""
    rest.setdefault("at", "2026-03-02T10:00:00+00:00")
    rest.setdefault("why", "listened again")
    rest.setdefault("id", an_id())
    return Correction(target=target, field=field, before=before, after=after, by=by, **rest)


def a_note(topic: str = "complaint", text: str = "customer says it is warm", **rest: Any) -> Note:
    """Return a note of one topic."""
    return Note(topic=topic, text=text, id=rest.pop("id", an_id()), **rest)


_PLACES: dict[type, str] = {
    Reading: "readings",
    Verdict: "verdicts",
    Utterance: "utterances",
    Recording: "recordings",
    Equipment: "equipment",
    Finding: "findings",
    WorkDone: "work",
    Note: "notes",
    Diagnosis: "diagnoses",
    Correction: "corrections",
    Field: "fields",
    Attachment: "attachments",
    Blanking: "blankings",
}


def a_visit(*parts: object, complaint: str = "", **fields: Any) -> Visit:
    """Return a visit; each part finds its place by its type, ``fields`` are fields of ``Visit``."""
    placed: dict[str, list[object]] = {}
    if complaint:
        placed["notes"] = [a_note("complaint", complaint)]
    for part in parts:
        placed.setdefault(_PLACES[type(part)], []).append(part)
    fields = {**{name: tuple(some) for name, some in placed.items()}, **fields}
    fields.setdefault("id", an_id())
    fields.setdefault("code", "HK3472")
    fields.setdefault("made", "2026-03-02T09:00:00+00:00")
    return Visit(**fields)
