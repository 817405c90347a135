"""How much of the phrase tables the language stage understands.

    python -m tests.benchmarks.bench_phrases                                  the tables it was developed against
    python -m tests.benchmarks.bench_phrases --further                        those of them written later
    python -m tests.benchmarks.bench_phrases --fresh                          long narrations, not all understood yet
    python -m tests.benchmarks.bench_phrases --to-learn                       those the second opinion learns from
    python -m tests.benchmarks.bench_phrases --held-out --reason "release"    the part set aside; logged in USES.md

Prints precision and recall of measured readings (value and unit), the share of these with the right role and the right
points, of whole sentences right, and of what was shown the wrong ones (number, unit, kind or role) without a doubt and
the right ones with one; each with its count.  The held-out part names no sentence, so that it stays one.
"""

from __future__ import annotations

import argparse
import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from journal.domain.reading import Reading, Role
from journal.interpret import interpret
from tests.interpret.phrase_differences import align, differences, reading_differences
from tests.interpret.phrase_tables import HELD_OUT, fresh_tables, load, load_table, tables_to_learn
from tests.interpret.phrase_types import Phrase

FRESH = {  # by the day that their authors wrote
    "fresh": ("fresh_shop", "fresh_roof"),
    "later": ("fresh_visit", "fresh_attic"),
    "last": ("fresh_depot", "fresh_harbour", "fresh_garage", "fresh_school"),
    "eight": tuple(
        f"fresh_{name}" for name in ("bakery", "tower", "homes", "kitchen", "farm", "hospital", "startup", "market")
    ),
    "aside": ("fresh_quick", "fresh_coast", "fresh_mall"),
    "three": ("fresh_quay", "fresh_mill", "fresh_orchard"),
    "latest": ("fresh_fiddle", "fresh_flannel", "fresh_flint"),
    "tenth": ("fresh_pansy", "fresh_ledge", "fresh_hammock"),
}
AMOUNT = {"value", "low", "high", "state", "unit"}
MEANT = AMOUNT | {"kind", "role"}


@dataclass
class Count:
    """Counts over the measured readings of some phrases."""

    sentences: int = 0
    whole: int = 0
    expected: int = 0
    found: int = 0
    right: int = 0
    paired: int = 0
    role: int = 0
    points: int = 0
    wrong: int = 0
    wrong_undoubted: int = 0
    fine: int = 0
    fine_doubted: int = 0

    def add(self, phrase: Phrase) -> None:
        understood = interpret(phrase.utterances())
        self.sentences += 1
        self.whole += not differences(phrase, understood)
        for want, got in align(phrase, understood):
            if (want and (want.withdrawn or want.optional)) or (got and got.withdrawn and not want):
                continue
            if got is not None and not got.withdrawn:
                self._shown(got, want is None or bool(set(reading_differences(want, got)) & MEANT))
            self.expected += want is not None and want.role in (Role.MEASURED, None)
            either = want is not None and want.role is None  # a careful colleague may write either role
            self.found += got is not None and (got.role is Role.MEASURED or either)
            if want is None or got is None:
                continue
            wrong = set(reading_differences(want, got))
            if wrong & AMOUNT or want.role not in (Role.MEASURED, None):
                continue
            self.paired += 1
            self.right += got.role is Role.MEASURED or want.role is None
            self.role += "role" not in wrong
            self.points += "points" not in wrong

    def _shown(self, got: Reading, wrong: bool) -> None:
        self.wrong += wrong
        self.wrong_undoubted += wrong and not got.needs_listening
        self.fine += not wrong
        self.fine_doubted += not wrong and got.needs_listening

    def lines(self) -> list[str]:
        def share(part: int, whole: int) -> str:
            return f"{part}/{whole} = {part / whole:.3f}" if whole else "none"

        return [
            f"precision {share(self.right, self.found)}",
            f"recall {share(self.right, self.expected)}",
            f"role {share(self.role, self.paired)}",
            f"points {share(self.points, self.paired)}",
            f"whole sentences {share(self.whole, self.sentences)}",
            f"wrong without a doubt {share(self.wrong_undoubted, self.wrong + self.fine)} of all shown"
            f" ({self.wrong} wrong)",
            f"right but doubted {share(self.fine_doubted, self.fine)}",
        ]


def count(phrases: Sequence[Phrase]) -> Count:
    counted = Count()
    for phrase in phrases:
        counted.add(phrase)
    return counted


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--held-out", action="store_true")
    options.add_argument("--further", action="store_true")
    options.add_argument("--fresh", action="store_true")
    options.add_argument("--to-learn", action="store_true")
    options.add_argument("--reason", default="")
    chosen = options.parse_args()
    if chosen.held_out and not chosen.reason:
        options.error("the held-out part is opened for a reason: --reason ...")
    if chosen.further:
        groups = {"further": [phrase for phrase in load() if phrase.table.startswith("further_")]}
    elif chosen.fresh:
        groups = {path.stem: list(load_table(path)) for path in fresh_tables()}
    elif chosen.to_learn:
        groups = {path.stem: list(load_table(path)) for path in tables_to_learn()}
    elif chosen.held_out:
        phrases = load(held_out=True)
        groups = {name: [p for p in phrases if p.table in tables] for name, tables in FRESH.items()}
        groups = {"first": [p for p in phrases if not p.table.startswith("fresh_")], **groups}
    else:
        groups = {"all": list(load())}
    for name, group in groups.items():
        if not group:
            continue
        lines = count(group).lines()
        print("\n".join([f"{name}:", *lines]))
        if chosen.held_out:
            with (HELD_OUT / "USES.md").open("a", encoding="utf-8") as file:
                figures = "; ".join(lines)
                file.write(f"| {dt.date.today().isoformat()} | {chosen.reason} ({name}) | {figures} |\n")


if __name__ == "__main__":
    main()
