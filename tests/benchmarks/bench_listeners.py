"""Readings heard by one and by two listeners: who is right, what is doubted, what goes unwarned.

    python -m models.recipe.readings WORK                                      # once: makes the sound
    python -m tests.benchmarks.bench_listeners WORK [--model M] [--voices joe] [--parts clean '10 dB']
    python -m tests.benchmarks.bench_listeners WORK [--model M] --voices rms --learn --write

The first prints one table of readings (precision, recall, wrong without a doubt with its exact one-sided upper 95 %
limit, right but doubted) for the first listener alone, the second alone (over the first's pauses) and both; all voices
are synthetic and reserved for measuring.  ``--doubts`` says which doubts right readings carry, ``--noises`` parts the
table by noise, ``--wrong`` names what was wrong without a doubt.  The second counts what ``agreement.toml`` of the
language stage is learned from, and puts it there.  What was heard stays in WORK (``models.recipe.heard``); ``--kept``
takes only that and hears nothing.
"""

from __future__ import annotations

import argparse
import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from pathlib import Path

from journal.domain.reading import Reading
from journal.interpret import agreement, interpret
from journal.interpret.agreement import agree, kind_of_difference
from models.recipe.heard import CONDITIONS, Heard, hear, name_of
from models.recipe.readings import Truth
from tests.benchmarks import scoring
from tests.benchmarks.scoring import LISTENERS, Tally, same, same_place
from tests.benchmarks.shares import shown

DIFFER = "listeners differ"
HEAD = (
    "| sound | listeners | spoken | right: recall | precision | place unsaid | wrong without a doubt, of wrong "
    "| of all shown | right but doubted |\n|---|---|---|---|---|---|---|---|---|"
)


def row(part: str, name: str, tally: Tally) -> str:
    """One line of the table."""
    recall, precision = (f"{100 * tally.right / of:.1f} %" if of else "-" for of in (tally.spoken, tally.shown))
    cells = (
        part,
        name,
        tally.spoken,
        f"{tally.right}: {recall}",
        precision,
        tally.place_unsaid,
        f"{tally.wrong_undoubted} of {tally.wrong}",
        shown(tally.wrong_undoubted, tally.shown),
        f"{tally.right_doubted} of {tally.right}: {100 * tally.right_doubted / max(1, tally.right):.1f} %",
    )
    return "| " + " | ".join(map(str, cells)) + " |"


def tallies(heard: Iterable[Heard], codes: Counter[str] | None = None) -> tuple[dict[str, Tally], Counter[str]]:
    """Counts for each listener, and how many readings hold a number of the radio's ('both, undoubted': unwarned)."""
    counts, radio = {name: Tally() for name in LISTENERS}, Counter[str]()
    for one in heard:
        for name, understood in scoring.understood(one).items():
            judged = counts[name].add(one.line.readings, understood.readings, one.line.text)
            radio[name] += scoring.from_the_radio(one, understood.readings)
            if name == "both":
                radio["undoubted"] += scoring.from_the_radio(
                    one, [reading for reading in understood.readings if not reading.doubts]
                )
                if codes is not None:
                    codes.update(_doubts(reading for reading, right in judged if right))
    return counts, radio


def _doubts(readings: Iterable[Reading]) -> Iterable[str]:
    for reading in readings:
        for doubt in reading.doubts:
            kind = re.search(r"\((.+)\)\.$|(Only .+)\.$|(not on .+):", doubt.why) if doubt.code == DIFFER else None
            yield f"{doubt.code}: {next(filter(None, kind.groups()))}" if kind else doubt.code


Counts = dict[str, Counter[str]]


def learned(heard: Iterable[Heard]) -> dict[str, Counts | Counter[str]]:
    """The counts of ``agreement.toml`` by its groups: who was right by kind of difference, places that one listener
    alone heard, and readings of one alone whose number the other heard too."""
    found: Counts = defaultdict(Counter)
    places, numbers = {"first": Counter[str](), "second": Counter[str]()}, Counter[str]()
    for one in heard:
        first, second = interpret(one.first), interpret(one.second)
        merged = agree(first, second, one.first, one.second)
        _count_places(one.line.readings, first.readings, second.readings, places)
        for reading in merged.readings:
            if any(d.code == DIFFER and d.why.startswith("One listener heard") for d in reading.doubts):
                _count(one.line.readings, reading, found)
            elif len(reading.heard_by) == 1 and all(d.why.startswith("Both listeners") for d in reading.doubts):
                right = any(same(truth, reading) and same_place(truth, reading) for truth in one.line.readings)
                numbers["right" if right else "wrong"] += 1
    return {"differences": found, "places": places, "numbers": numbers}


def _count_places(
    truths: Sequence[Truth], first: Sequence[Reading], second: Sequence[Reading], places: dict[str, Counter[str]]
) -> None:
    for truth in truths:
        ours, other = (next((r for r in heard if same(truth, r)), None) for heard in (first, second))
        if ours is None or other is None or truth.points is None or not _one_fuller(ours.points, other.points):
            continue
        name, placed = ("first", ours) if len(ours.points) > len(other.points) else ("second", other)
        places[name]["right" if set(placed.points) == set(truth.points) else "wrong"] += 1


def _one_fuller(mine: tuple[str, ...], theirs: tuple[str, ...]) -> bool:
    return set(mine) < set(theirs) or set(mine) > set(theirs)


def _count(truths: Sequence[Truth], reading: Reading, found: dict[str, Counter[str]]) -> None:
    other = next((one for one in reading.alternatives if one.why.startswith("heard by")), None)
    hidden = None
    if other is not None and other.value is not None and other.kind is not None:
        hidden = Reading(other.kind, value=other.value, unit=other.unit, doubts=reading.doubts)
    first, second = (reading, hidden) if "vosk" in reading.heard_by else (hidden, reading)
    right = [
        name
        for name, shown_one in (("first", first), ("second", second))
        if shown_one is not None and any(same(truth, shown_one) and same_place(truth, shown_one) for truth in truths)
    ]
    kind = kind_of_difference(first, second) if first and second else "other"
    found[kind][right[0] if right else "neither"] += 1


TABLE = Path(agreement.__file__).with_suffix(".toml")


def with_counts(table: str, counted: dict[str, Counts | Counter[str]]) -> str:
    """The text of ``agreement.toml`` with other counts; everything else stays."""
    lines, counts = [], Counter[str]()
    for line in table.splitlines():
        if line.startswith("["):
            group, _, name = line.strip("[]").partition(".")
            found = counted[group]
            counts = found if isinstance(found, Counter) else found.get(name.strip('"'), Counter())
        field = line.partition(" = ")[0]
        known = field in ("first", "second", "neither", "right", "wrong")
        lines.append(f"{field} = {counts[field]}" if known else line)
    return "\n".join([*lines, ""])


def main() -> None:
    """Print the table."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("work", type=Path)
    options.add_argument("--model")
    options.add_argument("--voices", nargs="+", default=["joe"])
    options.add_argument("--parts", nargs="+", default=list(CONDITIONS), choices=list(CONDITIONS))
    for name in ("learn", "write", "kept", "doubts", "noises", "wrong"):
        options.add_argument(f"--{name}", action="store_true")
    told = options.parse_args()
    groups: dict[str, list[Heard]] = {}
    for part in told.parts:
        for voice in told.voices:
            for one in hear(told.work, voice, part, told.model, anew=not told.kept):
                groups.setdefault(f"{part}, {one.noise}" if told.noises else part, []).append(one)
    everything = [one for group in groups.values() for one in group]
    if told.learn:
        table = with_counts(TABLE.read_text(encoding="utf-8"), learned(everything))
        print(table[table.index("[places") :])
        if told.write:
            TABLE.write_text(table, encoding="utf-8")
        return
    print(f"Model {name_of(told.model)}; voices {' '.join(told.voices)} (synthetic, reserved).\n{HEAD}")
    for part, heard in groups.items():
        codes: Counter[str] = Counter()
        tallied, radio = tallies(heard, codes)
        print("\n".join(row(part, name, tallied[name]) for name in LISTENERS), flush=True)
        for name, said in (("radio", radio if radio.total() else {}), ("doubts", codes if told.doubts else {})):
            if said:
                print(f"    {name}: {dict(Counter(said).most_common())}")
        if told.wrong:
            print("\n".join(f"    {line}" for line in tallied["both"].undoubted))
    print(_cost(everything))


def _cost(heard: Sequence[Heard]) -> str:
    seconds, first = sum(one.seconds for one in heard), sum(one.cpu_first for one in heard)
    anew = [one for one in heard if one.cpu_second is not None]
    length, second = sum(one.seconds for one in anew), sum(one.cpu_second or 0.0 for one in anew)
    cost = (
        f"{seconds / 60:.0f} minutes of sound; processor seconds a minute: {first / seconds * 60:.1f} for the first "
        f"listener, {second / max(length, 1) * 60:.1f} more for the second"
    )
    taken = len(heard) - len(anew)
    if taken:
        return f"{cost}; in {taken} of {len(heard)} sentences its words come from a hearing with another model."
    return f"{cost}."


if __name__ == "__main__":
    main()
