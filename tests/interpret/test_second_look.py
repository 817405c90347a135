"""What the tagger may change of how a number stands, where it belongs and what is doubted."""

from __future__ import annotations

import pytest

from journal.domain.kind import Kind
from journal.domain.reading import Role
from tests.interpret.tagged import opinion, read

PSI = {"pressure psi": 1.0}
MADE_UP = "so there we have sixty two psi"  # no part, no role is said


def codes(line: str) -> list[str]:
    (reading,) = read(line)
    return [doubt.code for doubt in reading.doubts]


def test_a_role_that_the_words_are_sure_of_is_taken_and_doubted_where_it_is_only_likely(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    opinion(monkeypatch, PSI, roles={"nameplate": 0.99, "measured": 0.01})
    assert read(MADE_UP)[0].role is Role.NAMEPLATE
    opinion(monkeypatch, PSI, roles={"nameplate": 0.81, "measured": 0.19})
    (reading,) = read(MADE_UP)
    assert reading.role is Role.NAMEPLATE
    assert "role unsure" in [doubt.code for doubt in reading.doubts]


def test_a_role_that_is_only_likely_is_not_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    opinion(monkeypatch, PSI, roles={"nameplate": 0.7, "measured": 0.3})
    (reading,) = read(MADE_UP)
    assert reading.role is Role.MEASURED
    assert "role unsure" in [doubt.code for doubt in reading.doubts]  # but it is not sure that it was measured


def test_a_part_is_given_where_none_was_found(monkeypatch: pytest.MonkeyPatch) -> None:
    opinion(monkeypatch, PSI, components={"suction": 0.8, "-": 0.2})
    assert read(MADE_UP)[0].component == "suction"
    opinion(monkeypatch, PSI, components={"suction": 0.39, "-": 0.61})
    assert read(MADE_UP)[0].component is None


def test_a_part_said_with_the_number_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    """Up to a share of 0.75, and from there on it is doubted."""
    opinion(monkeypatch, PSI, components={"suction": 0.74, "discharge": 0.26})
    assert read("head pressure is two forty psi")[0].component == "discharge"
    opinion(monkeypatch, PSI, components={"suction": 1.0})
    line = "head pressure is two forty psi"
    assert (read(line)[0].component, codes(line)) == ("suction", ["place unsure"])


def test_numbers_are_parted_where_the_words_are_sure(monkeypatch: pytest.MonkeyPatch) -> None:
    """'two ten': one number, or two amps and ten amps."""
    line = "legs are two ten"
    opinion(monkeypatch, {"current": 1.0}, starts=[0.0, 0.0, 1.0, 0.95])
    assert [reading.value for reading in read(line)] == [2, 10]
    opinion(monkeypatch, {"current": 1.0}, starts=[0.0, 0.0, 1.0, 0.6])
    assert [reading.value for reading in read(line)] == [210]


def test_what_is_only_so_so_is_doubted(monkeypatch: pytest.MonkeyPatch) -> None:
    parted = [0.0, 0.0, 0.0, 0.0, 1.0, 0.0]
    opinion(monkeypatch, {"pressure psi": 0.6, "none": 0.4}, starts=parted)
    assert codes(MADE_UP) == ["kind unsure"]
    opinion(monkeypatch, PSI, starts=[0.0, 0.0, 0.0, 0.0, 1.0, 0.4])
    assert codes(MADE_UP) == ["grouping"]
    opinion(monkeypatch, PSI, starts=parted)
    assert codes(MADE_UP) == []


def test_a_sure_opinion_takes_away_the_doubt_of_an_unsaid_unit(monkeypatch: pytest.MonkeyPatch) -> None:
    line = "there we have one twenty at the solenoid"
    opinion(monkeypatch, {"voltage": 0.6, "none": 0.4})
    assert "unit inferred" in codes(line)
    opinion(monkeypatch, {"voltage": 1.0}, starts=[0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 0.0])
    (reading,) = read(line)
    assert (reading.kind, reading.doubts) == (Kind.VOLTAGE, ())
    assert dict(reading.inferred)["unit"]  # where it was taken from is still told


def test_an_unheard_word_keeps_the_doubt(monkeypatch: pytest.MonkeyPatch) -> None:
    opinion(monkeypatch, {"voltage": 1.0}, starts=[1.0, 0.0, 0.0, 0.0, 0.0, 0.0])
    assert "unit inferred" in codes("one twenty at the solenoid [unk]")


def test_a_state_that_the_words_do_not_mean_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    opinion(monkeypatch, {"none": 1.0})
    assert read("run winding's open") == ()
    opinion(monkeypatch, {"resistance": 1.0})
    assert len(read("run winding's open")) == 1


def test_a_denied_number_is_given_back_doubted_where_all_else_speaks_for_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """'suction pressure has not moved from sixty eight' denies something else."""
    opinion(monkeypatch, {"pressure psi": 0.96, "none": 0.04})
    assert read("suction isn't at sixty two psi") == ()
    opinion(monkeypatch, PSI)
    assert codes("suction has not moved from sixty two psi") == ["maybe no reading"]


@pytest.mark.parametrize("line", ["that is not two thirty volts", "the head is not two ten", "no it isn't forty amps"])
def test_what_is_denied_is_no_reading(line: str) -> None:
    assert read(line) == ()


def test_no_temperature_is_read_between_two_lines(monkeypatch: pytest.MonkeyPatch) -> None:
    """Physics: what a meter reads between two conductors is electrical."""
    opinion(monkeypatch, {"temperature": 0.9, "voltage": 0.1})
    readings = read("discharge air's twenty nine", "two eleven one to two")
    assert [(reading.kind, reading.points) for reading in readings] == [
        (Kind.TEMPERATURE, ()),
        (Kind.VOLTAGE, ("L1", "L2")),
    ]


def test_a_number_in_a_note_is_kept_and_doubted_where_it_was_surely_read(monkeypatch: pytest.MonkeyPatch) -> None:
    line = "customer says it's warm and i have fifty one in there"
    opinion(monkeypatch, {"temperature": 1.0})
    assert [(r.value, codes(line)) for r in read(line)] == [(51, ["maybe no reading"])]
    opinion(monkeypatch, {"temperature": 0.9, "none": 0.1})
    assert not read(line)


def test_what_sounds_supposed_is_shown_and_doubted_where_it_was_surely_read(monkeypatch: pytest.MonkeyPatch) -> None:
    line = "if the box is at forty one degrees"
    opinion(monkeypatch, {"temperature": 0.9, "none": 0.1})
    assert not read(line)
    opinion(monkeypatch, {"temperature": 1.0})
    assert "maybe no reading" in codes(line)


def test_a_name_is_parted_from_the_number_behind_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """'circuit one eleven': circuit 111 to the rules, circuit 1 at 11 to a tagger that hears a number start there."""
    line = "circuit one eleven"
    opinion(monkeypatch, {"superheat": 1.0}, starts=[0.0, 0.0, 1.0])
    (reading,) = read(line)
    assert (reading.value, reading.equipment) == (11, "circuit 1")
    opinion(monkeypatch, {"superheat": 1.0}, starts=[0.0, 0.0, 0.0])
    assert not read(line)


def test_a_pair_of_gauges_is_neither_replaced_nor_doubted(monkeypatch: pytest.MonkeyPatch) -> None:
    opinion(monkeypatch, {"pressure micron_Hg": 1.0}, components={"vacuum": 1.0})
    readings = read("we have one twenty two over three thirty five now")
    assert [(r.value, r.unit, r.component, r.doubts) for r in readings] == [
        (122, "psi", "suction", ()),
        (335, "psi", "discharge", ()),
    ]


@pytest.mark.parametrize(
    "line",
    [
        "suction's at ninety that's not right head's at one fifty",
        "run cap reads thirty one microfarads throw it out",
        "there's an eight degree drop that tells me the drier's plugged",
        "box is at fifty forget it this thing's done for",
    ],
)
def test_what_is_said_of_the_machine_takes_no_number_back(line: str) -> None:
    assert not any(reading.withdrawn for reading in read(line))
