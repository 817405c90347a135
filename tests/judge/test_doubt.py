"""Verdicts on doubtful readings say so, and whether the likely alternatives would change them."""

from __future__ import annotations

from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Doubt, Reading, State
from journal.domain.visit import Equipment
from tests.builders import a_reading
from tests.judge.builders import found, judged

RATED = a_reading(ampere="17.9", role="nameplate", component="compressor", conditions=("rated load",))


def amps(value: str, *maybe: str) -> Reading:
    return a_reading(ampere=value, component="compressor", doubt="fifteen or fifty?", maybe=maybe)


def test_an_alternative_that_changes_the_outcome() -> None:
    verdict = found(judged(RATED, amps("15", "50")), "running-current")
    assert verdict.outcome == "within"
    assert verdict.rests_on_doubt
    assert verdict.doubt_note == "15 A needs listening: with 50 A it would be marginal."


def test_an_alternative_that_does_not() -> None:
    verdict = found(judged(RATED, amps("13", "13.1")), "running-current")
    assert verdict.rests_on_doubt
    assert verdict.doubt_note == "13 A needs listening; 13.1 A would not change the outcome."


def test_several_alternatives_part_ways() -> None:
    verdict = found(judged(RATED, amps("15", "50", "16")), "running-current")
    assert "with 50 A it would be marginal; 16 A would not change it" in verdict.doubt_note


def test_a_doubt_without_alternatives() -> None:
    verdict = found(judged(RATED, amps("15")), "running-current")
    assert verdict.doubt_note == "15 A needs listening; no likely alternative is known."


def test_a_doubted_nameplate_counts_too() -> None:
    plate = a_reading(ampere="17.9", role="nameplate", component="compressor", doubt="spelled", maybe=("11.9",))
    verdict = found(judged(plate, a_reading(ampere="15", component="compressor")), "running-current")
    assert verdict.rests_on_doubt
    assert "11.9 A" in verdict.doubt_note
    assert "marginal" in verdict.doubt_note


def test_no_doubt_no_word() -> None:
    verdict = found(judged(RATED, a_reading(ampere="15", component="compressor")), "running-current")
    assert not verdict.rests_on_doubt
    assert verdict.doubt_note == ""


def test_alternatives_of_kind_unit_and_state() -> None:
    doubt = (Doubt("kind unsure", "pressure or temperature?"),)
    reading = Reading(
        Kind.RESISTANCE,
        value=Decimal("3.4"),
        unit="ohm",
        component="compressor",
        points=("common", "ground"),
        doubts=doubt,
        alternatives=(Alternative(unit="megaohm"), Alternative(state=State.OPEN), Alternative(kind=Kind.VOLTAGE)),
        id="r",
    )
    verdict = found(judged(reading), "winding-to-ground")
    assert verdict.outcome == "outside"
    assert "with 3.4 MΩ it could not be told" in verdict.doubt_note
    assert "with open it could not be told" in verdict.doubt_note
    assert "this check would not apply" in verdict.doubt_note


def test_a_doubted_refrigerant_is_a_doubted_superheat() -> None:
    unsure = Equipment("u", type="walk-in cooler", refrigerant="R-448A", doubts=(Doubt("spelled", "448A or 449A?"),))
    readings = [a_reading(psi="36", component="suction"), a_reading(degF="35", component="suction line")]
    verdict = found(judged(*readings, equipment=[unsure]), "superheat")
    assert verdict.rests_on_doubt
    assert "448A or 449A?" in verdict.doubt_note


def test_ranges_are_tried_at_both_ends() -> None:
    inside = a_reading(kind="current", low="12", high="14", unit="ampere", component="compressor")
    assert found(judged(RATED, inside), "running-current").outcome == "within"
    across = a_reading(kind="current", low="12", high="24", unit="ampere", component="compressor")
    verdict = found(judged(RATED, across), "running-current")
    assert verdict.outcome == "undetermined"
    assert "steady reading" in verdict.missing[0]


def test_bounds_are_tried_far_beyond_themselves() -> None:
    """'Better than five hundred megs' is within, 'more than ten amps' could be anything."""
    more = a_reading(kind="resistance", low="500", unit="megaohm", points="common ground", instrument="megger")
    assert found(judged(more), "winding-to-ground").outcome == "within"
    loose = a_reading(kind="current", low="10", unit="ampere", component="compressor")
    assert found(judged(RATED, loose), "running-current").outcome == "undetermined"
