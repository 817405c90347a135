"""A small invented visit, and a file that stands for its sound."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Doubt, Evidence, Reading, Role
from journal.domain.speech import Hypothesis, Utterance, Word
from journal.domain.verdict import Authority, Diagnosis, Limit, Outcome, Verdict
from journal.domain.visit import Equipment, Field, Finding, Note, Recording, Visit, WorkDone

SAID = "compressor common to run twenty four point three oh volts"


def spoken(text: str, recording: str = "r1", index: int = 0, start: float = 0.0) -> Utterance:
    """Return an utterance with a word every half second, and one rival hypothesis."""
    words = tuple(Word(word, start + n / 2, start + n / 2 + 0.4, 0.9) for n, word in enumerate(text.split()))
    return Utterance(recording, index, words, (Hypothesis(words[:-1], -12.5),))


def a_reading(value: str = "24.30", **changes: object) -> Reading:
    fields: dict[str, object] = {
        "kind": Kind.VOLTAGE,
        "value": Decimal(value),
        "unit": "volt",
        "component": "compressor",
        "points": ("common", "run"),
        "equipment": "reach-in 2",
        "evidence": Evidence("r1", 0, 0, 9, 0.0, 4.9, SAID, 0.9),
        "doubts": (Doubt("confusable", "thirty and thirteen sound alike"),),
        "alternatives": (Alternative(value=Decimal("24.13"), why="thirteen"),),
        "id": "reading-1",
    }
    return Reading(**{**fields, **changes})  # type: ignore[arg-type]


def a_verdict(outcome: Outcome = Outcome.OUTSIDE, **changes: object) -> Verdict:
    fields: dict[str, object] = {
        "check": "supply voltage",
        "version": 1,
        "title": "Supply voltage",
        "outcome": outcome,
        "authority": Authority.STANDARD,
        "plain": "The supply is far too low.",
        "value": Decimal("24.30"),
        "unit": "volt",
        "limits": (Limit("volt", Decimal(207), Decimal(253), source="our own example"),),
        "readings": ("reading-1",),
        "missing": ("the nameplate",) if outcome is Outcome.UNDETERMINED else (),
        "equipment": "reach-in 2",
        "id": "verdict-1",
    }
    return Verdict(**{**fields, **changes})  # type: ignore[arg-type]


def a_visit(**changes: object) -> Visit:
    """Return a whole visit with one recording ``r1``; nothing in it is real."""
    visit = Visit(
        id="",
        code="",
        started="2026-03-02T09:15:00Z",
        started_from="given",
        title="Reach-in warm",
        technician="Ola Brandt",
        site="Corner Larder",
        recordings=(Recording("r1", "", "larder.wav", "", 61.5, 16000, 1, "trade-english"),),
        utterances=(spoken(SAID), spoken("coil is iced over and the fan is not turning", index=1, start=10.0)),
        equipment=(Equipment("reach-in 2", "reach-in", "Nordhus", "NH-40", "77-1904", "R-290"),),
        readings=(a_reading(), a_reading("230", id="reading-2", role=Role.NAMEPLATE, doubts=(), alternatives=())),
        findings=(
            Finding("iced over", "coil", "reach-in 2", evidence=Evidence("r1", 1, 0, 3, 10.0, 11.9, "coil"), id="f1"),
        ),
        work=(WorkDone("replaced", "evaporator fan motor", Decimal(1), None, "EC-9", id="w1"),),
        notes=(Note("complaint", "case has been warm since Sunday", id="n1"),),
        fields=(Field("work order", "WO-1188", id="x1"),),
        verdicts=(a_verdict(),),
        diagnoses=(Diagnosis("Low supply", "24.30 V where 230 V belong", "read at the disconnect", id="d1"),),
        cautions=("Lock out and tag before touching the terminals.",),
    )
    return replace(visit, **changes)  # type: ignore[arg-type]


def a_sound(folder: Path, name: str = "larder.wav", content: bytes = b"RIFF not really sound" * 50) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / name
    path.write_bytes(content)
    return path
