"""Two listeners: equal amounts are confirmed, differing ones doubted with both values, lone ones doubted."""

from __future__ import annotations

import dataclasses
from dataclasses import replace
from decimal import Decimal

import pytest

from journal.domain.kind import Kind
from journal.domain.reading import Doubt, Evidence, Reading
from journal.domain.speech import utterance_of
from journal.domain.visit import Equipment, Finding, Interpretation
from journal.interpret import agreement, interpret
from journal.interpret.agreement import agree, kind_of_difference
from journal.interpret.narration import overheard


def ohms(value: str, utterance: int = 0, by: str = "vosk", **changes: object) -> Reading:
    evidence = Evidence("r1", utterance, 0, 1, 1.0, 2.0, f"{value} ohms")
    fields: dict[str, object] = {"kind": Kind.RESISTANCE, "value": Decimal(value), "unit": "ohm", "heard_by": (by,)}
    return Reading(**{**fields, "evidence": evidence, "id": f"{by} {utterance} {value}", **changes})  # type: ignore[arg-type]


def merged(first: list[Reading], second: list[Reading]) -> tuple[Reading, ...]:
    return agree(Interpretation(readings=tuple(first)), Interpretation(readings=tuple(second))).readings


def test_equal_amounts_are_confirmed_and_doubts_of_one_hearing_fall() -> None:
    doubts = (Doubt("low confidence", "Heard unsurely."), Doubt("implausible", "Too high for a winding."))
    (reading,) = merged([ohms("1.4", doubts=doubts)], [ohms("1.40", by="second")])
    assert reading.heard_by == ("vosk", "second")
    assert [doubt.code for doubt in reading.doubts] == ["implausible"]


def test_differing_amounts_carry_each_other_and_a_doubt() -> None:
    (reading,) = merged([ohms("15")], [ohms("50", by="second")])
    assert reading.value == 50  # the second listener tells these apart far better: agreement.toml has the counts
    assert [alternative.value for alternative in reading.alternatives] == [Decimal(15)]
    assert "teen or ty" in reading.doubts[-1].why


def test_a_range_and_a_number_are_told_as_on_paper_and_a_range_is_no_empty_alternative() -> None:
    spread = replace(ohms("18", by="second"), value=None, low=Decimal(1), high=Decimal(18))
    (reading,) = merged([ohms("118")], [spread])
    told = "One listener heard 118 Ω, the other 1 to 18 Ω."
    assert reading.doubts[-1].why == told
    assert all(one.value is not None or one.state is not None for one in reading.alternatives)
    assert reading.value is not None or [one.value for one in reading.alternatives] == [Decimal(118)]


def test_what_one_alone_heard_is_doubted() -> None:
    alone = merged([ohms("1.4")], [])
    assert [doubt.code for doubt in alone[0].doubts] == ["listeners differ"]
    added = merged([ohms("1.4")], [ohms("1.4", by="second"), ohms("3.9", by="second")])
    assert [(r.value, bool(r.doubts)) for r in added] == [(Decimal("1.4"), False), (Decimal("3.9"), True)]


def test_a_number_written_in_pieces_is_no_list_of_small_ones() -> None:
    pieces = [ohms(value, by="second", inferred=(("unit", "the words around it"),)) for value in ("2", "13", "2", "3")]
    (reading,) = merged([ohms("213")], pieces)
    assert (reading.value, [doubt.code for doubt in reading.doubts]) == (213, ["listeners differ"])
    said = [replace(piece, inferred=()) for piece in pieces]  # '2 ohms, 13 ohms, ...'
    assert len(merged([ohms("213")], said)) > 1
    assert len(merged([ohms("640")], pieces)) > 1


def test_a_number_that_both_heard_is_trusted_once_such_numbers_were_counted_right(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    words = [utterance_of("the heater is using seventeen eighty nine whack", "r1")]
    drawn = ohms("1789", by="second", kind=Kind.POWER, unit="watt")
    for counts, doubted in (((12, 0), False), ((8, 0), True), ((12, 2), True)):
        lone = dataclasses.replace(agreement._table(), numbers=agreement.Lone(*counts))
        monkeypatch.setattr(agreement, "_table", lambda table=lone: table)
        readings = agree(Interpretation(), Interpretation(readings=(drawn,)), words).readings
        assert [bool(reading.doubts) for reading in readings] == [doubted]
        other = replace(drawn, value=Decimal(1780))
        (unheard,) = agree(Interpretation(), Interpretation(readings=(other,)), words).readings
        assert unheard.doubts[-1].why == "Only the second listener heard it."
        guessed = replace(drawn, inferred=(("unit", "heater"),))
        assert agree(Interpretation(), Interpretation(readings=(guessed,)), words).readings[0].doubts
        monkeypatch.undo()


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("suction is at sixty two psi", "Suction isn't at 62 psi."),
        ("suction is at sixty two psi", "Last year suction was at 62 psi."),
        ("voltage is two thirty volts", "If the voltage is 230 volts"),
        ("compressor draws five amps", "Breaker costs 5 bucks and amps"),
        ("cylinder is at seven pounds six ounces", "Added 7 pounds 6 ounces."),
    ],
)
@pytest.mark.parametrize("swapped", [False, True])
def test_a_number_that_one_listener_heard_denied_supposed_or_priced_is_doubted(
    first: str, second: str, swapped: bool
) -> None:
    one, other = (utterance_of(line, "r1") for line in ((second, first) if swapped else (first, second)))
    (reading,) = agree(interpret([one]), interpret([other]), [one], [other]).readings
    assert [doubt.code for doubt in reading.doubts] == ["listeners differ"]


def test_a_supposition_begun_before_a_pause_is_not_overheard() -> None:
    before = utterance_of("if i jumper it out", "r1", 0)
    said = utterance_of("voltage is two thirty volts", "r1", 1)
    assert Decimal(230) in overheard(said)
    assert Decimal(230) not in overheard(said, before)


@pytest.mark.parametrize(
    ("right", "wrong", "doubted"), [(13, 1, False), (9, 0, True), (30, 4, True), (3, 6, True), (20, 2, False)]
)
@pytest.mark.parametrize("who", ["first", "second"])
@pytest.mark.parametrize("other", [(), ("run",)])
def test_a_place_only_one_heard_is_doubted_unless_such_places_were_mostly_right(
    monkeypatch: pytest.MonkeyPatch, other: tuple[str, ...], who: str, right: int, wrong: int, doubted: bool
) -> None:
    learned = agreement._Table(frozenset(), {}, {who: agreement.Lone(right, wrong)}, agreement.Lone(0, 0))
    monkeypatch.setattr(agreement, "_table", lambda: learned)
    placed = {who: ("common", "run")}
    (reading,) = merged(
        [ohms("1.4", points=placed.get("first", other))],
        [ohms("1.4", by="second", points=placed.get("second", other))],
    )
    assert reading.points == ("common", "run")
    assert [doubt.code for doubt in reading.doubts] == ["listeners differ"] * doubted


def test_a_differing_place_is_doubted() -> None:
    (differing,) = merged(
        [ohms("1.4", points=("common", "start"))], [ohms("1.4", by="second", points=("common", "run"))]
    )
    assert differing.points == ("common", "start")
    assert "where it was taken" in differing.doubts[0].why


def test_utterances_are_not_mixed() -> None:
    readings = merged([ohms("1.4", 0), ohms("3.9", 1)], [ohms("3.9", 0, by="second"), ohms("1.4", 1, by="second")])
    assert all(reading.doubts for reading in readings)
    assert len(readings) == 2


def test_a_value_one_listener_took_back_is_not_confirmed_as_standing() -> None:
    readings = merged([ohms("3.6")], [ohms("3.6", by="second", withdrawn=True)])
    assert [(r.withdrawn, bool(r.doubts)) for r in readings] == [(False, True), (True, False)]


def test_words_are_taken_from_the_second_listener_where_it_heard_the_utterance() -> None:
    def found(what: str, utterance: int) -> Finding:
        return Finding(what, evidence=Evidence("r1", utterance, 0, 1, 1.0, 2.0, what))

    first = Interpretation(findings=(found("iced", 0), found("noise", 1)))
    second = Interpretation(findings=(found("oil residue", 0),))
    both = agree(first, second, (), [utterance_of("oil on the fitting", "r1")])
    assert [finding.what for finding in both.findings] == ["oil residue", "noise"]


def test_a_machine_both_know_goes_by_the_second_listeners_name() -> None:
    first = Interpretation(
        readings=(ohms("1.4", equipment="walk-in freezer 9"),),
        equipment=(Equipment("walk-in freezer 9", refrigerant="R-448A"),),
    )
    second = Interpretation(equipment=(Equipment("walk-in freezer"),))
    both = agree(first, second)
    assert both.equipment == (Equipment("walk-in freezer", refrigerant="R-448A"),)
    assert both.readings[0].equipment == "walk-in freezer"


@pytest.mark.parametrize(
    ("one", "other", "name"),
    [
        ("4.6", "46", "decimal point"),
        ("13", "30", "teen or ty"),
        ("113", "130", "teen or ty"),
        ("1.15", "1.50", "teen or ty"),
        ("1.5", "5", "digits the second missed"),
        ("212", "12", "digits the second missed"),
        ("17", "117", "digits the first missed"),
        ("15", "60", "other"),
        ("1.4", "1.4", "unit"),
    ],
)
def test_kinds_of_difference(one: str, other: str, name: str) -> None:
    assert kind_of_difference(ohms(one), ohms(other)) == name
    turned = {
        "digits the first missed": "digits the second missed",
        "digits the second missed": "digits the first missed",
    }
    assert kind_of_difference(ohms(other), ohms(one)) == turned.get(name, name)


def test_the_same_number_with_another_unit_is_one_reading_that_differs() -> None:
    other = ohms("36", by="second", kind=Kind.TEMPERATURE, unit="degF")
    (reading,) = merged([ohms("36")], [other])
    both = {(reading.unit, reading.kind), *((a.unit, a.kind) for a in reading.alternatives)}
    assert both == {("ohm", Kind.RESISTANCE), ("degF", Kind.TEMPERATURE)}
    assert "(unit)" in reading.doubts[-1].why


def test_a_place_is_not_taken_over_from_a_reading_of_another_kind() -> None:
    """'two eleven one to two' behind 'discharge air's twenty nine': no air has volts."""
    volts = ohms("211", kind=Kind.VOLTAGE, unit="volt", points=("L1", "L2"))
    other = ohms("211.1", by="second", kind=Kind.TEMPERATURE, unit="degF", component="discharge air")
    (reading,) = merged([volts], [other])
    assert (reading.unit, reading.points, reading.component) == ("volt", ("L1", "L2"), None)
    (reading,) = merged([ohms("15")], [ohms("50", by="second", component="compressor")])
    assert reading.component == "compressor"


def test_contained_digits_pair_across_kinds() -> None:
    other = ohms("122", by="second", kind=Kind.PRESSURE, unit="psi")
    (reading,) = merged([ohms("22")], [other])
    assert {reading.value, reading.alternatives[0].value} == {Decimal(22), Decimal(122)}


@pytest.mark.parametrize("counts", [(3, 9, 0), (9, 3, 0), (1, 8, 0), (5, 5, 5)])
def test_the_listener_that_was_right_more_often_is_shown_first(
    monkeypatch: pytest.MonkeyPatch, counts: tuple[int, int, int]
) -> None:
    learned = agreement._Table(frozenset(), {"teen or ty": agreement.Reliability(*counts)}, {}, agreement.Lone(0, 0))
    monkeypatch.setattr(agreement, "_table", lambda: learned)
    (reading,) = merged([ohms("15")], [ohms("50", by="second")])
    assert reading.value == (50 if counts == (3, 9, 0) else 15), "fewer than ten counts decide nothing"
