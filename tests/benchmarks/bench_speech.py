"""One table of how well recognisers hear, all on the same files in the same run.

    python -m models.recipe.evaluate prepare WORK --speech SPEECH_FOLDER     # once: makes the sound
    python -m tests.benchmarks.bench_speech WORK MODEL [MODEL ...]           # words, of Vosk models
    python -m tests.benchmarks.bench_speech WORK MODEL [MODEL ...] --whisper --pocketsphinx --most 30   # numbers

Words: counts of right items, word errors, what never ended.  Numbers: sentences with every number right (by value, read
out of words or digits by the same rules), wrong digits of strings, number words written of speech about something else;
'both' counts the items where the first model and whisper wrote the same numbers, right or wrong alike (which goes
unwarned; the rest would be doubted).  Whisper is the second listener alone; pocketsphinx has the recipe's dictionary
and language model; it needs the extra [models] (in a virtual environment of its own: ``--save``, then ``--join`` here).
The sentences were written apart from the grammar of the language model, the voices and speakers were never trained on.
"""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from models.recipe import evaluate, spoken
from tests.benchmarks import engines

Heard = dict[str, list[str]]
SHOWN = ("numbers right", "word errors", "number words", "readings", "[unk] words", "still open after 1.5 s")


def of_words(found: dict[str, dict[str, dict[str, Any]]]) -> str:
    """Markdown: one line a set and measure, one column a Vosk model."""
    names = list(found)
    lines = ["| set | measure | of | " + " | ".join(names) + " |", "|---|---|---|" + "---|" * len(names)]
    for row, first in found[names[0]].items():
        for measure in (shown for shown in SHOWN if shown in first):
            total = first["words"] if measure == "word errors" else first["items"]
            cells = " | ".join(str(found[name][row][measure]) for name in names)
            lines.append(f"| {row} | {measure} | {total} | {cells} |")
        factors = " | ".join(str(found[name][row]["real-time factor"]) for name in names)
        lines.append(f"| {row} | real-time factor | | {factors} |")
    return "\n".join(lines)


def items(work: Path, most: int | None) -> dict[str, evaluate.Set]:
    """The sets of a folder, each cut down to every n-th item so that about ``most`` are left."""
    found = {}
    for path in sorted(work.glob("*.npz")):
        whole = evaluate.Set.load(path)
        step = max(1, len(whole.sounds) // most) if most else 1
        found[path.stem] = evaluate.Set(path.stem, whole.sounds[::step], whole.said[::step], whole.speakers[::step])
    return found


def hear(listen: engines.Listener, sets: dict[str, evaluate.Set]) -> tuple[Heard, float]:
    """What one recogniser writes of every item, and its processor seconds a second of sound."""
    begun = time.process_time()
    heard = {name: [listen(sound) for sound in one.sounds] for name, one in sets.items()}
    length = sum(len(sound) for one in sets.values() for sound in one.sounds) / engines.RATE
    return heard, (time.process_time() - begun) / length


def score(source: evaluate.Set, heard: list[str]) -> tuple[int, int]:
    """(count, of): digits wrong, number words where none were said, or items with every number right."""
    if source.name == "other_speech":
        written = " ".join(heard).lower().replace(",", "").replace(".", "").split()
        return sum(word in spoken.NUMBER_WORDS or word.isdigit() for word in written), len(heard)
    pairs = list(zip(source.said, heard, strict=True))
    if "digits" in source.name:
        wrong = sum(evaluate.edits(list(engines.digits(s)), list(engines.digits(h))) for s, h in pairs)
        return wrong, sum(len(engines.digits(s)) for s, _ in pairs)
    return sum(engines.numbers(s) == engines.numbers(h) for s, h in pairs), len(pairs)


def together(source: evaluate.Set, first: list[str], second: list[str]) -> str:
    """'right and alike / wrong and alike' of the items of a set."""
    read = engines.digits if "digits" in source.name else engines.numbers
    alike = [(read(s), read(a)) for s, a, b in zip(source.said, first, second, strict=True) if read(a) == read(b)]
    if source.name == "other_speech":
        return f"{sum(bool(a) for _, a in alike)} alike"
    right = sum(s == a for s, a in alike)
    return f"{right} / {len(alike) - right}"


def of_numbers(sets: dict[str, evaluate.Set], heard: dict[str, Heard], factors: dict[str, float]) -> str:
    """Markdown: one line a set, one column a recogniser."""
    names = list(heard)
    models = [name for name in names if name not in ("whisper", "pocketsphinx")]
    both = bool(models) and "whisper" in heard
    head = [*names, "both: right alike / wrong alike"] if both else names
    lines = ["| set | what | of | " + " | ".join(head) + " |", "|---|---|---|" + "---|" * len(head)]
    for name, source in sets.items():
        counts = [score(source, heard[engine][name]) for engine in names]
        what = "number words" if name == "other_speech" else "wrong digits" if "digits" in name else "numbers right"
        cells = [str(count) for count, _ in counts]
        cells += [together(source, heard[models[0]][name], heard["whisper"][name])] if both else []
        lines.append(f"| {name} | {what} | {counts[0][1]} | {' | '.join(cells)} |")
    cost = [f"{factors[name]:.3f}" for name in names] + ([""] if both else [])
    return "\n".join([*lines, f"| all | processor seconds a second | | {' | '.join(cost)} |"])


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("work", type=Path)
    parser.add_argument("models", type=Path, nargs="*")
    parser.add_argument("--whisper", action="store_true")
    parser.add_argument("--pocketsphinx", action="store_true")
    parser.add_argument("--most", type=int, help="about so many items of each set")
    parser.add_argument("--save", type=Path, help="keep what was heard")
    parser.add_argument("--join", type=Path, nargs="*", default=[], help="what --save kept of other recognisers")
    options = parser.parse_args()
    if not (options.whisper or options.pocketsphinx or options.join):
        print(of_words({str(folder): evaluate.measure(options.work, folder) for folder in options.models}))
        return
    sets = items(options.work, options.most)
    heard: dict[str, Heard] = {}
    factors: dict[str, float] = {}
    listeners: dict[str, Callable[[], engines.Listener]] = {
        str(folder): partial(evaluate.vosk_listener, folder) for folder in options.models
    }
    listeners |= {"whisper": engines.whisper} if options.whisper else {}
    listeners |= {"pocketsphinx": engines.pocketsphinx} if options.pocketsphinx else {}
    for name, make in listeners.items():
        heard[name], factors[name] = hear(make(), sets)
    if options.save:
        options.save.write_text(json.dumps([heard, factors]), encoding="utf-8")
    for path in options.join:
        more, costs = json.loads(path.read_text(encoding="utf-8"))
        heard, factors = {**heard, **more}, {**factors, **costs}
    print(of_numbers(sets, heard, factors))


if __name__ == "__main__":
    main()
