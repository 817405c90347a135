"""Visits of every shape the types allow, for round trips."""

from __future__ import annotations

import uuid
from decimal import Decimal

from hypothesis import strategies as st

from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Doubt, Evidence, Phase, Reading, Reference, Role, State, Trend
from journal.domain.speech import Hypothesis, Utterance, Word
from journal.domain.unit_table import unit_table
from journal.domain.verdict import Authority, Diagnosis, Limit, Outcome, Verdict
from journal.domain.visit import Equipment, Field, Finding, Note, Recording, Visit, WorkDone

TEXT = st.text(st.characters(exclude_categories=("Cs",)), max_size=20)
SOME = st.text(st.characters(exclude_categories=("Cs",)), min_size=1, max_size=20)
MAYBE = st.none() | TEXT
WORDS = st.text(st.characters(categories=("L", "N", "P")), min_size=1, max_size=8)
SECONDS = st.floats(0, 5000, allow_nan=False)
DECIMALS = st.decimals(allow_nan=False, allow_infinity=False, places=None).filter(lambda d: len(str(d)) < 40)
IDS = st.uuids().map(str)
UNITS = st.sampled_from(sorted(unit_table()))

DOUBTS = st.lists(st.builds(Doubt, SOME, SOME), max_size=2).map(tuple)
EVIDENCE = st.none() | st.builds(
    lambda recording, utterance, first, more, start, end, said, confidence: Evidence(
        recording, utterance, first, first + more, start, end, said, confidence
    ),
    SOME,
    st.integers(0, 9),
    st.integers(0, 9),
    st.integers(0, 9),
    SECONDS,
    SECONDS,
    TEXT,
    st.floats(0, 1),
)
ALTERNATIVES = st.lists(
    st.builds(Alternative, st.none() | DECIMALS, MAYBE, st.none() | st.sampled_from(Kind), st.none(), TEXT), max_size=2
).map(tuple)


@st.composite
def amounts(draw: st.DrawFn) -> dict[str, object]:
    """Return value, range or state of a reading, with a unit that fits its kind."""
    unit = draw(UNITS)
    kind = draw(st.sampled_from(unit_table()[unit].kinds))
    shape = draw(st.sampled_from(["value", "range", "bound", "state", "nominal"]))
    if shape == "value":
        return {"kind": kind, "unit": unit, "value": draw(DECIMALS)}
    if shape == "range":
        low, high = sorted([draw(DECIMALS), draw(DECIMALS)])
        return {"kind": kind, "unit": unit, "low": low, "high": high}
    if shape == "bound":
        return {"kind": kind, "unit": unit, draw(st.sampled_from(["low", "high"])): draw(DECIMALS)}
    if shape == "state":
        return {"kind": kind, "state": draw(st.sampled_from(State))}
    return {"kind": kind, "unit": unit, "state": State.PRESENT, "value": draw(DECIMALS)}


@st.composite
def readings(draw: st.DrawFn) -> Reading:
    return Reading(
        **draw(amounts()),  # type: ignore[arg-type]
        role=draw(st.sampled_from(Role)),
        component=draw(MAYBE),
        points=draw(st.lists(SOME, max_size=3).map(tuple)),
        equipment=draw(MAYBE),
        phase=draw(st.sampled_from(Phase)),
        conditions=draw(st.lists(SOME, max_size=2).map(tuple)),
        trend=draw(st.none() | st.sampled_from(Trend)),
        reference=draw(st.none() | st.sampled_from(Reference)),
        instrument=draw(MAYBE),
        hedged=draw(st.booleans()),
        held_for=draw(st.none() | DECIMALS),
        withdrawn=draw(st.booleans()),
        inferred=draw(st.lists(st.tuples(SOME, SOME), max_size=2).map(tuple)),
        doubts=draw(DOUBTS),
        alternatives=draw(ALTERNATIVES),
        heard_by=draw(st.lists(SOME, max_size=2).map(tuple)),
        evidence=draw(EVIDENCE),
        id=draw(IDS),
    )


@st.composite
def word_runs(draw: st.DrawFn) -> tuple[Word, ...]:
    starts = sorted(draw(st.lists(SECONDS, max_size=4)))
    return tuple(Word(draw(WORDS), start, start + draw(st.floats(0, 2)), draw(st.floats(0, 1))) for start in starts)


UTTERANCES = st.builds(
    Utterance,
    recording=SOME,
    index=st.integers(0, 500),
    words=word_runs(),
    alternatives=st.lists(st.builds(Hypothesis, word_runs(), st.floats(-1e6, 1e6)), max_size=2).map(tuple),
    heard_by=SOME,
)
LIMITS = st.builds(
    Limit,
    unit=UNITS,
    low=st.none() | DECIMALS,
    high=st.none() | DECIMALS,
    marginal_low=st.none() | DECIMALS,
    marginal_high=st.none() | DECIMALS,
    authority=st.sampled_from(Authority),
    source=SOME,
    applies_to=TEXT,
    changed_by=TEXT,
)


@st.composite
def verdicts(draw: st.DrawFn) -> Verdict:
    outcome = draw(st.sampled_from(Outcome))
    missing = draw(st.lists(SOME, min_size=1, max_size=2).map(tuple)) if outcome is Outcome.UNDETERMINED else ()
    return Verdict(
        check=draw(SOME),
        version=draw(st.integers(0, 99)),
        title=draw(TEXT),
        outcome=outcome,
        authority=draw(st.sampled_from(Authority)),
        plain=draw(SOME),
        formula=draw(TEXT),
        value=draw(st.none() | DECIMALS),
        unit=draw(st.none() | UNITS),
        limits=draw(st.lists(LIMITS, max_size=2).map(tuple)),
        source=draw(TEXT),
        cautions=draw(st.lists(SOME, max_size=2).map(tuple)),
        readings=draw(st.lists(IDS, max_size=2).map(tuple)),
        missing=missing,
        rests_on_doubt=draw(st.booleans()),
        doubt_note=draw(TEXT),
        equipment=draw(MAYBE),
        component=draw(MAYBE),
        phase=draw(SOME),
        id=draw(IDS),
    )


def several(of: st.SearchStrategy[object]) -> st.SearchStrategy[tuple[object, ...]]:
    return st.lists(of, max_size=2).map(tuple)


RECORDINGS = st.builds(
    Recording,
    name=st.sampled_from(["r1", "r2", "r3"]),
    file=st.just(""),
    original_name=TEXT,
    sha256=st.just(""),
    seconds=SECONDS,
    rate=st.integers(1, 192_000),
    channels=st.integers(1, 8),
    model=TEXT,
    started=MAYBE,
    started_from=TEXT,
)
EVERY_PART = {
    "utterances": several(UTTERANCES),
    "equipment": several(
        st.builds(Equipment, SOME, *[MAYBE] * 5, st.none() | DECIMALS, st.none() | UNITS, MAYBE, MAYBE, DOUBTS)
    ),
    "readings": several(readings()),
    "findings": several(st.builds(Finding, SOME, MAYBE, MAYBE, st.booleans(), EVIDENCE, IDS)),
    "work": several(
        st.builds(
            WorkDone, SOME, MAYBE, st.none() | DECIMALS, st.none() | UNITS, MAYBE, MAYBE, st.booleans(), EVIDENCE, IDS
        )
    ),
    "notes": several(st.builds(Note, SOME, TEXT, EVIDENCE, IDS)),
    "fields": several(st.builds(Field, SOME, TEXT, SOME, MAYBE, EVIDENCE, IDS)),
    "verdicts": several(verdicts()),
    "diagnoses": several(st.builds(Diagnosis, TEXT, TEXT, TEXT, several(IDS), several(IDS), SOME, MAYBE, IDS)),
}
VISITS = st.builds(
    Visit,
    id=st.builds(lambda: str(uuid.uuid4())),
    code=st.just(""),
    started=st.none() | st.datetimes().map(lambda moment: moment.isoformat() + "Z"),
    started_from=TEXT,
    made=st.just("2026-03-01T08:00:00Z"),
    title=TEXT,
    technician=MAYBE,
    site=MAYBE,
    status=st.sampled_from(["open", "complete"]),
    listened_with=st.lists(SOME, max_size=2).map(tuple),
    recordings=st.lists(RECORDINGS, max_size=3, unique_by=lambda recording: recording.name).map(tuple),
    cautions=st.lists(SOME, max_size=2).map(tuple),
    **EVERY_PART,
)
#: a decimal that a float would spoil
AWKWARD = Decimal("24.30")
