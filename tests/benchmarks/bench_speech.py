"""One table of how well Vosk models hear, every model on the same files in the same run.

    python -m models.recipe.evaluate prepare WORK --speech SPEECH_FOLDER     # once: makes the sound
    python -m tests.benchmarks.bench_speech WORK MODEL [MODEL ...]

Rows are counts of right items out of all, and word errors out of all words; the sentences were written apart from the
grammar that the language model comes from, the voices and speakers were never trained on.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from models.recipe import evaluate

SHOWN = ("numbers right", "word errors", "number words", "readings", "[unk] words", "still open after 1.5 s")


def table(found: dict[str, dict[str, dict[str, Any]]]) -> str:
    """Markdown: one line a set and measure, one column a model."""
    names = list(found)
    lines = ["| set | measure | of | " + " | ".join(names) + " |", "|---|---|---|" + "---|" * len(names)]
    for row in found[names[0]]:
        for measure in SHOWN:
            if measure not in found[names[0]][row]:
                continue
            first = found[names[0]][row]
            total = first["words"] if measure == "word errors" else first["items"]
            cells = " | ".join(str(found[name][row][measure]) for name in names)
            lines.append(f"| {row} | {measure} | {total} | {cells} |")
        factors = " | ".join(str(found[name][row]["real-time factor"]) for name in names)
        lines.append(f"| {row} | real-time factor | | {factors} |")
    return "\n".join(lines)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("work", type=Path)
    parser.add_argument("models", type=Path, nargs="+")
    options = parser.parse_args()
    print(table({str(folder): evaluate.measure(options.work, folder) for folder in options.models}))


if __name__ == "__main__":
    main()
