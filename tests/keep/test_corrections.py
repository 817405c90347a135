"""Putting right: the original stays, the present value is original plus corrections, verdicts are made again."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal.domain.kind import Kind
from journal.domain.reading import Reading, Role, State
from journal.domain.verdict import Outcome
from journal.domain.visit import Correction, Equipment, Note, Recording, Visit, WorkDone
from journal.errors import BadInput, NotFound
from journal.keep import Store
from journal.keep.corrections import Assessment, current, overrulings
from journal.keep.plain import to_plain
from journal.keep.wording import as_text, from_text
from tests.keep.strategies import readings
from tests.keep.visits import a_reading, a_sound, a_verdict, a_visit, spoken

WHO = {"by": "Ola Brandt", "why": "listened again"}


def judge(visit: Visit) -> Assessment:
    """A check of our own: 207 to 253 V is within; it rests on the first reading."""
    (first, *_) = visit.readings
    within = first.number is not None and Decimal(207) <= first.number <= Decimal(253) and not first.withdrawn
    verdict = a_verdict(Outcome.WITHIN if within else Outcome.OUTSIDE, value=first.number, id="")
    return Assessment("", (verdict,), (), ("mind the terminals",))


def test_a_corrected_value_stands_and_the_original_stays(store: Store, visit: Visit) -> None:
    after = store.correct(visit.code, "reading-1", {"value": "230"}, **WHO, judge=judge)
    assert str(after.readings[0].value) == "24.30"
    now = current(after).readings[0]
    assert (str(now.value), now.doubts, now.alternatives) == ("230", (), ())
    assert now.evidence == visit.readings[0].evidence
    (made,) = after.corrections
    assert (made.field, made.before, made.after, made.by, made.why) == ("value", "24.30", "230", *WHO.values())
    assert store.visit(visit.code) == after


def test_verdicts_are_made_again_and_the_old_ones_kept(store: Store, visit: Visit) -> None:
    after = store.correct(visit.code, "reading-1", {"value": "230"}, **WHO, judge=judge)
    assert [verdict.outcome for verdict in after.verdicts] == [Outcome.WITHIN]
    first, second = store.assessments(visit.code)
    assert first.verdicts == visit.verdicts
    assert second.verdicts == after.verdicts
    assert second.cautions == ("mind the terminals",)
    assert store.visits(outcome=Outcome.OUTSIDE) == []
    assert store.visits(outcome=Outcome.WITHIN)[0].corrected == 1


def test_corrections_build_on_each_other(store: Store, visit: Visit) -> None:
    store.correct(visit.code, "reading-1", {"value": "230"}, **WHO)
    after = store.correct(visit.code, "reading-1", {"value": "231.0"}, **WHO)
    assert [(made.before, made.after) for made in after.corrections] == [("24.30", "230"), ("230", "231.0")]
    assert str(current(after).readings[0].value) == "231.0"


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({"kind": "resistance", "unit": "ohm"}, {"kind": Kind.RESISTANCE, "unit": "ohm", "doubts": ()}),
        ({"state": "open"}, {"state": State.OPEN, "value": None}),
        ({"low": "20", "high": "30"}, {"low": Decimal(20), "high": Decimal(30), "value": None}),
        ({"role": "nameplate"}, {"role": Role.NAMEPLATE, "value": Decimal("24.30")}),
        ({"points": "L1, L2", "component": "supply"}, {"points": ("L1", "L2"), "component": "supply"}),
        ({"component": ""}, {"component": None}),
        ({"unit": "V", "value": "0.0243E3"}, {"unit": "volt", "value": Decimal("24.3")}),
        ({"not a reading": "yes"}, {"withdrawn": True, "value": Decimal("24.30")}),
        ({"confirmed": "yes"}, {"doubts": (), "alternatives": (), "value": Decimal("24.30")}),
        ({"conditions": "running, 12 minutes"}, {"conditions": ("running", "12 minutes")}),
    ],
    ids=str,
)
def test_what_can_be_put_right(
    store: Store, visit: Visit, changes: dict[str, str], expected: dict[str, object]
) -> None:
    now = current(store.correct(visit.code, "reading-1", changes, **WHO)).readings[0]
    assert {name: getattr(now, name) for name in expected} == expected


@pytest.mark.parametrize(
    ("target", "changes", "message"),
    [
        ("reading-1", {"value": "plenty"}, "a number such as"),
        ("reading-1", {"value": "NaN"}, "finite"),
        ("reading-1", {"unit": "volts"}, "no unit's code"),
        ("reading-1", {"unit": "ohm"}, "does not fit together"),
        ("reading-2", {"unit": ""}, "does not fit together"),
        ("reading-1", {"value": ""}, "does not fit together"),
        ("reading-1", {"low": "9", "high": "1"}, "does not fit together"),
        ("reading-1", {"role": "guessed"}, "one of: measured"),
        ("reading-1", {"colour": "red"}, "no field"),
        ("reading-1", {"id": "x"}, "not corrected"),
        ("reading-1", {"evidence": "{}"}, "not corrected"),
        ("reading-1", {"value": "24.30"}, "Nothing would change"),
        ("reading-1", {}, "Nothing would change"),
        ("verdict-1", {"outcome": "within"}, "overruled"),
        ("n1", {"confirmed": "yes"}, "said of a reading"),
    ],
)
def test_what_makes_no_sense_is_refused(
    store: Store, visit: Visit, target: str, changes: dict[str, str], message: str
) -> None:
    head = store.head()
    with pytest.raises(BadInput, match=message):
        store.correct(visit.code, target, changes, **WHO)
    assert store.head() == head


def test_a_number_that_has_no_unit_stays_doubted(store: Store, sound: Path) -> None:
    visit = store.add_visit(a_visit(readings=(a_reading(unit=None),), verdicts=()), {"r1": sound})
    now = current(store.correct(visit.code, "reading-1", {"value": "24"}, **WHO)).readings[0]
    assert now.value == 24
    assert now.needs_listening


def test_the_journals_own_corrections_settle_nothing(store: Store, visit: Visit) -> None:
    now = current(
        store.correct(visit.code, "reading-1", {"value": "25"}, by="journal", why="second listener")
    ).readings[0]
    assert now.needs_listening


def test_who_and_why_are_asked_for(store: Store, visit: Visit) -> None:
    for who in ({"by": " ", "why": "x"}, {"by": "x", "why": ""}):
        with pytest.raises(BadInput, match="who makes it and why"):
            store.correct(visit.code, "reading-1", {"value": "1"}, **who)
    with pytest.raises(NotFound, match="nothing with the id"):
        store.correct(visit.code, "reading-9", {"value": "1"}, **WHO)


def test_the_visit_and_its_machines_can_be_put_right(store: Store, visit: Visit) -> None:
    changes = {
        "site": "Corner Larder, Mill Lane",
        "equipment/reach-in 2/serial": "77-1905",
        "equipment/reach-in 2/charge": "1.20",
    }
    after = current(store.correct(visit.code, visit.id, changes, **WHO))
    assert after.site == "Corner Larder, Mill Lane"
    assert after.equipment[0].serial == "77-1905"
    assert str(after.equipment[0].charge) == "1.20"
    assert store.visits(site="mill lane")[0].code == visit.code
    assert store.visits(equipment="77-1905")[0].code == visit.code
    assert store.visits(equipment="77-1904") == []
    for wrong, error in (({"equipment/freezer/serial": "1"}, NotFound), ({"equipment/reach-in 2/name": "x"}, BadInput)):
        with pytest.raises(error):
            store.correct(visit.code, visit.id, wrong, **WHO)
    with pytest.raises(BadInput, match="no field of a visit"):
        store.correct(visit.code, visit.id, {"code": "X"}, **WHO)


def test_other_parts_can_be_put_right_and_found(store: Store, visit: Visit) -> None:
    store.correct(visit.code, "w1", {"action": "cleaned", "amount": "2", "done": "no"}, **WHO)
    after = current(store.correct(visit.code, "n1", {"text": "the case thaws at noon"}, **WHO))
    assert after.work[0] == replace(visit.work[0], action="cleaned", amount=Decimal(2), done=False)
    assert after.complaint == "the case thaws at noon"
    assert len(store.visits(text="thaws")) == 1
    assert store.visits(text="Sunday") == []


def test_an_overruled_verdict_stays_beside_what_was_said(store: Store, visit: Visit) -> None:
    store.overrule(visit.code, "verdict-1", "control circuit, 24 V is right", by="Ola", why="wrong limits")
    after = store.overrule(visit.code, "d1", "nothing wrong with the supply", by="Ola", why="same")
    assert after.verdicts == visit.verdicts
    said = overrulings(after)
    assert said["verdict-1"].before == "out of limits"
    assert said["verdict-1"].after == "control circuit, 24 V is right"
    assert said["d1"].before == "Low supply"
    with pytest.raises(BadInput, match="overruled"):
        store.overrule(visit.code, "verdict-1", " ", by="Ola", why="x")


def test_an_overruling_lasts_until_the_journal_says_something_else(store: Store, visit: Visit) -> None:
    store.overrule(visit.code, "verdict-1", "it is fine", by="Ola", why="meter was off")
    same = store.reassess(visit.code, lambda v: Assessment("", (replace(visit.verdicts[0], id="new"),), (), ()))
    assert same.verdicts[0].id in overrulings(same)
    other = store.correct(visit.code, "reading-1", {"value": "230"}, **WHO, judge=judge)
    assert other.verdicts[0].id not in overrulings(other)
    assert store.assessments(visit.code)[0].verdicts[0].id in overrulings(other)


def test_a_reading_is_added_by_hand_at_its_moment(store: Store, visit: Visit) -> None:
    added = a_reading("3.5", kind=Kind.CURRENT, unit="ampere", doubts=(), id="", evidence=None)
    after = store.add_reading(visit.code, added, by="Ola", why="recogniser missed it", moment=("r1", 11.0))
    reading = after.readings[-1]
    assert reading == added
    assert reading.id
    assert reading.heard_by == ("by hand: Ola",)
    assert reading.evidence is not None
    assert (reading.evidence.recording, reading.evidence.utterance, reading.evidence.start) == ("r1", 1, 11.0)
    with pytest.raises(BadInput, match="no recording"):
        store.add_reading(visit.code, added, by="Ola", why="x", moment=("r7", 1.0))


def test_a_later_recording_is_appended(store: Store, visit: Visit, tmp_path: Path) -> None:
    more = Visit(
        id="",
        code="",
        recordings=(Recording("r2", "", "later.wav", "", 5.0, 16000, 1, "trade-english"),),
        utterances=(spoken("as left two thirty one volts", "r2"),),
        readings=(a_reading("231", id=""),),
        equipment=(Equipment("reach-in 2", model="NH-41"), Equipment("reach-in 3")),
        work=(WorkDone("adjusted", "thermostat"),),
        notes=(Note("follow-up", "come back on Friday"),),
    )
    later = a_sound(tmp_path, "later.wav", b"later sound")
    after = store.extend(visit.code, more, {"r2": later}, by="Ola", judge=judge)
    assert [recording.name for recording in after.recordings] == ["r1", "r2"]
    assert store.sound_path(after, "r2").read_bytes() == b"later sound"
    assert [utterance.text for utterance in after.utterances][-1] == "as left two thirty one volts"
    assert len(after.readings) == 3
    assert [machine.name for machine in after.equipment] == ["reach-in 2", "reach-in 3"]
    assert current(after).equipment[0].model == "NH-41"
    assert after.equipment[0].model == "NH-40"
    assert len(store.visits(text="Friday")) == 1
    with pytest.raises(BadInput, match="r2 already"):
        store.extend(visit.code, more, {"r2": later}, by="Ola")


def test_an_id_that_is_there_already_is_refused(store: Store, visit: Visit) -> None:
    with pytest.raises(BadInput, match="same id"):
        store.extend(visit.code, Visit("", "", readings=(a_reading(),)), by="Ola")


def test_photographs_are_kept(store: Store, visit: Visit, tmp_path: Path) -> None:
    picture = a_sound(tmp_path, "plate.JPG", b"\xff\xd8 picture")
    after = store.attach(visit.code, picture, by="Ola", caption="name plate", at="2026-03-02T09:20:00Z")
    (kept,) = after.attachments
    assert (kept.media_type, kept.original_name, kept.caption, kept.bytes) == (
        "image/jpeg",
        "plate.JPG",
        "name plate",
        10,
    )
    assert store.attachment_path(after, "a1").read_bytes() == b"\xff\xd8 picture"
    with pytest.raises(NotFound, match="it has: a1"):
        store.attachment_path(after, "a2")
    with pytest.raises(BadInput, match="not a file"):
        store.attach(visit.code, tmp_path, by="Ola")


def test_a_signed_off_visit_takes_corrections_only(store: Store, visit: Visit, sound: Path) -> None:
    closed = store.sign_off(visit.code, by="B. Office")
    assert current(closed).status == "closed"
    assert store.visits(open=True) == []
    with pytest.raises(BadInput, match="signed off"):
        store.extend(visit.code, Visit("", "", notes=(Note("x", "y"),)), by="Ola")
    with pytest.raises(BadInput, match="signed off"):
        store.attach(visit.code, sound, by="Ola")
    with pytest.raises(BadInput, match="signed off"):
        store.sign_off(visit.code, by="Ola")
    with pytest.raises(BadInput, match="signing it off"):
        store.correct(visit.code, visit.id, {"status": "open"}, **WHO)
    after = store.correct(visit.code, "reading-1", {"value": "230"}, **WHO)
    assert current(after).readings[0].value == 230


def test_the_history_says_who_did_what_and_why(store: Store, visit: Visit) -> None:
    store.correct(visit.code, "reading-1", {"value": "230"}, by="Ola", why="misheard")
    store.sign_off(visit.code, by="B. Office")
    lines = store.history(visit.code)
    assert [(line.action, line.by, line.why) for line in lines] == [
        ("visit added", "Ola Brandt", ""),
        ("corrected", "Ola", "misheard"),
        ("signed off", "B. Office", "signed off"),
    ]
    assert lines[-1].digest == store.head()


def test_a_change_meanwhile_makes_the_judging_run_again(store: Store, visit: Visit) -> None:
    seen: list[str] = []

    def slow_judge(judged: Visit) -> Assessment:
        seen.append(str(judged.readings[0].value))
        if len(seen) == 1:  # somebody else is quicker
            store.correct(visit.code, "reading-1", {"value": "220"}, by="Ana", why="heard it too")
        return judge(judged)

    after = store.correct(visit.code, "reading-1", {"value": "230"}, **WHO, judge=slow_judge)
    assert [made.after for made in after.corrections] == ["220", "230"]
    assert after.corrections[1].before == "220"
    assert seen == ["230", "230"]


@given(readings())
def test_every_field_reads_back_from_its_text(reading: Reading) -> None:
    for field in ("kind", "role", "value", "low", "high", "state", "unit", "phase", "trend", "reference", "held_for"):
        text = as_text(getattr(reading, field))
        assert from_text(Reading, field, text) == getattr(reading, field)
    for field in ("hedged", "inferred", "doubts", "alternatives"):
        text = as_text(getattr(reading, field))
        assert to_plain(from_text(Reading, field, text)) == to_plain(getattr(reading, field))


@given(st.lists(st.text(st.characters(exclude_categories=("Cs",))), max_size=4).map(tuple))
def test_lists_read_back_from_their_text(parts: tuple[str, ...]) -> None:
    assert from_text(Reading, "points", as_text(parts)) == parts


def test_a_correction_of_something_gone_is_passed_over() -> None:
    visit = Visit(
        "v", "", corrections=(Correction("reading-1", "value", "1", "2", "Ola", "2026-03-02T10:00:00Z", "x"),)
    )
    assert current(visit) == visit
