"""Visits that strain what shows them: an empty one, a long one, one with everything wrong, one with hostile text."""

from __future__ import annotations

from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Doubt, Evidence, Reading, Reference, Trend
from journal.domain.speech import Hypothesis, Utterance, Word
from journal.domain.verdict import Diagnosis
from journal.domain.visit import Attachment, Blanking, Equipment, Field, Finding, Visit, WorkDone
from tests.builders import (
    a_correction,
    a_limit,
    a_note,
    a_reading,
    a_recording,
    a_verdict,
    a_visit,
    an_id,
    an_utterance,
)

HOSTILE = "<script>alert('x')</script>\"'&]]>-->{{ 7*7 }}[bold]=cmd|' /C calc'!A0\x1b[31m\u202e"


def empty() -> Visit:
    return a_visit(a_recording(seconds=12.0))


def full() -> Visit:
    """Every field of every type holds something, so that nothing is lost unseen."""
    evidence = Evidence("r1", 0, 1, 3, 41.2, 43.05, "to start three", 0.93)
    other = Alternative(Decimal("50.90"), "ohm", Kind.RESISTANCE, None, "fifteen and fifty sound alike")
    reading = Reading(
        kind=Kind.PRESSURE,
        value=Decimal("24.30"),
        unit="psi",
        component="suction",
        points=("common", "start"),
        equipment="reach-in 2",
        conditions=("running", "12 minutes running"),
        trend=Trend.STEADY,
        reference=Reference.GAUGE,
        instrument="manifold",
        hedged=True,
        held_for=Decimal("600"),
        inferred=(("unit", "meter mode"), ("component", "the sentence before")),
        doubts=(Doubt("confusable", "fifteen and fifty sound alike"),),
        alternatives=(other,),
        heard_by=("vosk", "second"),
        evidence=evidence,
        id=an_id(),
    )
    words = (Word("common", 41.2, 41.5, 0.9), Word("to", 41.5, 41.6, 1.0), Word("start", 41.6, 42.0, 0.5))
    utterance = Utterance("r1", 0, words, (Hypothesis(words[:2], 12.5),))
    limit = a_limit(
        "187.20", "253.00", marginal_low="180", marginal_high="260", applies_to="motors", changed_by="x.toml"
    )
    verdict = a_verdict(
        "outside",
        value="24.30",
        unit="volt",
        limits=(limit,),
        readings=(reading.id,),
        formula="24.30",
        source="worked by hand",
        cautions=("mind the shaft",),
        rests_on_doubt=True,
        doubt_note="50.90 would be outside as well",
        equipment="reach-in 2",
        component="compressor",
        phase="as left",
    )
    machine = Equipment(
        "reach-in 2", "reach-in", "Norrvale", "NV-2", "B07-33", "R-134a", Decimal("1.50"), "pound", "bar", "cooler",
        (Doubt("spelled", "the serial was spelled"),),
    )  # fmt: skip
    return a_visit(
        a_recording(started="2026-03-02T08:15:00+00:00", started_from="given"),
        utterance,
        machine,
        reading,
        a_reading(kind="resistance", state="open", points="terminal_5 L1"),
        a_reading(unit="megaohm", low="2", role="expected", at=None),
        Finding("oil residue", "compressor", "reach-in 2", True, evidence, an_id()),
        WorkDone("recovered", "compressor", Decimal("5.375"), "pound", "K-7", "reach-in 2", False, evidence, an_id()),
        a_note("complaint", "it is warm", evidence=evidence),
        verdict,
        a_verdict("undetermined", missing=("L2 to L3",)),
        Diagnosis("grounded", "because", "confirm", (reading.id,), (verdict.id,), "Ines", "reach-in 2", an_id()),
        a_correction(reading.id),
        Field("work order", "4711", "said", "reach-in 2", evidence, an_id()),
        Attachment(
            "a1", "files/a1.jpg", "plate.jpg", "0" * 64, 1234, "image/jpeg", "the plate", "Ines", "2026-03-02", an_id()
        ),
        Blanking("r1", 41.2, 43.0, "words and sound", "Ines", "2026-03-02T10:00:00+00:00", "a bystander", an_id()),
        started="2026-03-02T08:15:00+00:00",
        started_from="given",
        title="Reach-in",
        technician="Ines Okafor",
        site="Quillwort Bakery",
        status="closed",
        listened_with=("trade-english",),
        cautions=("lock and tag",),
    )


def long(count: int = 300) -> Visit:
    utterances = [an_utterance(f"line one to line two two {n % 90 + 10}", at=4.0 * n, index=n) for n in range(count)]
    readings = [a_reading(volt=str(200 + n % 90), points="L1 L2", at=4.0 * n) for n in range(count)]
    verdicts = [a_verdict(value="241", unit="volt", limits=(a_limit("187.2", "253"),)) for _ in range(40)]
    return a_visit(a_recording(seconds=4.0 * count), *utterances, *readings, *verdicts, complaint="it is warm")


def everything_wrong() -> Visit:
    """Every reading doubted or withdrawn, every verdict outside or undetermined, nothing known about the frame."""
    doubted = [a_reading(volt="15", points="L1 L2", doubt="fifteen or fifty?", maybe=("50",)) for _ in range(5)]
    far = a_verdict(
        "outside", value="999999", unit="volt", limits=(a_limit("187.2", "253"),), readings=(doubted[0].id,)
    )
    return a_visit(
        *doubted,
        a_reading(volt="9", withdrawn=True),
        Reading(Kind.RESISTANCE, value=Decimal(7), doubts=(Doubt("unit inferred", "no unit was said"),)),
        far,
        a_verdict("outside", value="-40", unit="volt", limits=(a_limit(high="3"),), rests_on_doubt=True),
        a_verdict("undetermined", missing=("everything",)),
    )


def hostile() -> Visit:
    """Text of every field tries to be markup, a formula, a control sequence, a template or the end of a comment."""
    word = HOSTILE.replace(" ", "\u2003").split()[0]
    at = Evidence("r1", 0, 0, 0, 1.0, 2.0, HOSTILE)
    reading = a_reading(volt="241", said=HOSTILE, component=HOSTILE, equipment=HOSTILE, doubt=HOSTILE, id="a\"b'<c>")
    return a_visit(
        a_recording(),
        Utterance("r1", 0, (Word(word, 1.0, 2.0),)),
        Equipment(HOSTILE, HOSTILE, HOSTILE, HOSTILE, HOSTILE, HOSTILE),
        reading,
        Finding(HOSTILE, HOSTILE, evidence=at),
        WorkDone(HOSTILE, part=HOSTILE),
        a_note("complaint", HOSTILE),
        a_note(HOSTILE, HOSTILE),
        a_verdict(title=HOSTILE, plain=HOSTILE, formula=HOSTILE, cautions=(HOSTILE,), readings=(reading.id,)),
        Diagnosis(HOSTILE, HOSTILE, HOSTILE, proposed_by=HOSTILE),
        Field(HOSTILE, HOSTILE),
        Attachment(HOSTILE, HOSTILE, HOSTILE, "0", 1, HOSTILE, HOSTILE),
        Blanking("r1", 1.0, 2.0, HOSTILE, HOSTILE, HOSTILE, HOSTILE),
        a_correction(reading.id, before=HOSTILE, after=HOSTILE, by=HOSTILE, why=HOSTILE),
        title=HOSTILE,
        site=HOSTILE,
        technician=HOSTILE,
        status=HOSTILE,
        started=HOSTILE,
        cautions=(HOSTILE,),
    )


ALL = {"empty": empty, "full": full, "long": long, "everything wrong": everything_wrong, "hostile": hostile}
