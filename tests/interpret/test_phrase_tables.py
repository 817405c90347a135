"""The phrase tables are well-formed, large enough, and the set-aside part is as it was written."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest

from journal.domain.kind import Kind
from journal.domain.reading import Role, State
from tests.interpret.phrase_tables import (
    HELD_OUT,
    NAMES,
    TABLES,
    Phrase,
    TableError,
    digests,
    fresh_tables,
    load,
    load_table,
    names,
    parse_table,
    tables,
    tables_to_learn,
)

DEVELOPMENT = load()
SET_ASIDE = load(held_out=True)


def row(line: str) -> str:
    return f'about = "x"\n[[phrase]]\n{line}\n'


def parse(line: str) -> Phrase:
    return parse_table(row(line), Path("invented.toml"))[0]


def test_tables_are_large_enough() -> None:
    everything = DEVELOPMENT + SET_ASIDE
    assert len(everything) >= 560
    assert sum(phrase.yields_nothing for phrase in everything) >= 130
    # tables named further_ were written after the set-aside part
    first = [phrase for phrase in everything if not phrase.table.startswith("further_")]
    assert len(SET_ASIDE) >= len(first) * 0.19
    assert sum(phrase.yields_nothing for phrase in SET_ASIDE) >= 28


def test_set_aside_part_covers_every_phenomenon() -> None:
    first = {path.name for path in [*tables(), *fresh_tables()] if not path.name.startswith("further_")}
    assert {path.name for path in tables(held_out=True)} >= first


def test_no_sentence_stands_twice() -> None:
    learned = [phrase for path in tables_to_learn() for phrase in load_table(path)]
    assert len(learned) >= 1000
    counts = Counter(phrase.said for phrase in [*DEVELOPMENT, *SET_ASIDE, *learned])
    assert [said for said, count in counts.items() if count > 1] == []


def test_set_aside_tables_are_as_listed() -> None:
    lines = (HELD_OUT / "SHA256").read_text(encoding="utf-8").splitlines()
    listed = {name: digest for digest, name in (line.split() for line in lines)}
    assert digests() == listed, "a change to the set-aside part belongs into USES.md and SHA256"


def test_set_aside_uses_are_dated() -> None:
    lines = (HELD_OUT / "USES.md").read_text(encoding="utf-8").splitlines()
    rows = [line for line in lines if line.startswith("|")][2:]
    assert rows
    assert [line for line in rows if not re.match(r"\| \d{4}-\d\d-\d\d \| .+ \| .+ \|$", line)] == []


def test_every_canonical_component_and_point_is_in_the_description() -> None:
    text = " ".join((TABLES / "README.md").read_text(encoding="utf-8").split())
    assert [name for name in sorted(names().components | names().points) if name not in text] == []
    assert NAMES.is_file()


def test_every_kind_of_reading_is_expected_somewhere() -> None:
    readings = [reading for phrase in DEVELOPMENT for reading in phrase.readings]
    assert {reading.kind for reading in readings} >= set(Kind)
    assert {reading.role for reading in readings} >= set(Role)
    assert {reading.state for reading in readings} >= set(State)


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ('said = "one ohm"', "give 'readings'"),
        ("readings = []", "needs 'said'"),
        ('said = ""\nreadings = []', "needs 'said'"),
        ('said = "1 ohm"\nreadings = []', "mark notes"),
        ('said = "One ohm"\nreadings = []', "mark notes"),
        ('said = "one ohm"\nreadings = []\nmood = "good"', "unknown key 'mood'"),
        ('said = "one ohm"\nreadings = [{ kind = "gravity", value = "1", unit = "ohm" }]', "'gravity' is not a kind"),
        (
            'said = "one ohm"\nreadings = [{ kind = "voltage", value = "1", unit = "ohm" }]',
            "ohm does not measure voltage",
        ),
        ('said = "one ohm"\nreadings = [{ kind = "voltage", value = "1", unit = "bolt" }]', "'bolt' is not a unit"),
        ('said = "one ohm"\nreadings = [{ kind = "voltage", value = 1.5, unit = "volt" }]', "in quotes"),
        ('said = "one ohm"\nreadings = [{ kind = "voltage", value = "1,5", unit = "volt" }]', "not a number"),
        ('said = "one ohm"\nreadings = [{ kind = "voltage", value = "1" }]', "a number needs a unit"),
        ('said = "one ohm"\nreadings = [{ kind = "voltage", unit = "volt" }]', "a value, a range or a state"),
        ('said = "one ohm"\nreadings = [{ kind = "voltage", state = "gone" }]', "'gone' is not a state"),
        ('said = "one ohm"\nreadings = [{ value = "1", unit = "ohm" }]', "leave 'kind' out only"),
        ('said = "one ohm"\nreadings = [{ kind = "voltage", state = "open", value = "1" }]', "only 'present'"),
        ('said = "x"\nreadings = [{ kind = "voltage", state = "absent", role = "heard" }]', "'heard' is not a role"),
        ('said = "x"\nreadings = [{ kind = "voltage", state = "absent", points = ["L9"] }]', "'L9' is not a point"),
        (
            'said = "x"\nreadings = [{ kind = "voltage", state = "absent", component = "flux" }]',
            "'flux' is not a component",
        ),
        ('said = "x"\nreadings = [{ kind = "voltage", state = "absent", colour = "red" }]', "unknown key 'colour'"),
        ('said = "x"\nreadings = []\nfindings = [{ what = "sad" }]', "'sad' is not a finding"),
        ('said = "x"\nreadings = []\nwork = [{ action = "sang" }]', "'sang' is not a action"),
    ],
)
def test_loader_says_what_is_wrong(line: str, message: str) -> None:
    with pytest.raises(TableError, match=re.escape(message)):
        parse(line)


def test_loader_names_file_and_sentence() -> None:
    with pytest.raises(TableError, match=r"invented.toml, 'two amps'"):
        parse('said = "two amps"\nreadings = [{ kind = "current", value = "2", unit = "amp" }]')
    with pytest.raises(TableError, match="not TOML"):
        parse_table("about = ", Path("broken.toml"))
    with pytest.raises(TableError, match="'about'"):
        parse_table("", Path("empty.toml"))


def test_spoken_rows_become_utterances_with_times() -> None:
    phrase = parse('said = ["common to run", "one ohm"]\nreadings = []')
    first, second = phrase.utterances()
    assert (first.text, second.text) == ("common to run", "one ohm")
    assert (first.index, second.index) == (0, 1)
    assert second.start - first.end > 1.5
    typed = parse('said = "C-R 1Ω"\ntyped = true\nreadings = []').utterances()
    assert [utterance.heard_by for utterance in typed] == ["typed"]
