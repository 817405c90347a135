"""When utterances end: all 120 reserved orders about something else, one table.

    python -m tests.benchmarks.bench_ends ../shared/data/speech [--model NAME|FOLDER]

An utterance must end within 1.5 s of speech, also when its words are unknown to the model.
"""

from __future__ import annotations

import argparse
import statistics
from pathlib import Path

from journal.hear.vosk_recogniser import load
from tests.hear.ends import LONGEST, STEP, reserved_orders, seconds_open


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("speech", type=Path)
    options.add_argument("--model")
    chosen = options.parse_args()
    files = reserved_orders(chosen.speech)
    model = load(chosen.model)
    found = {path.name: seconds_open(model, path) for path in files}
    ended = [seconds for seconds in found.values() if seconds is not None]
    late = sorted(name for name, seconds in found.items() if seconds is None or seconds > LONGEST + STEP / 16_000)
    print("| recordings | ended by themselves | later than 1.5 s | median s | longest s |")
    print("|---|---|---|---|---|")
    print(f"| {len(files)} | {len(ended)} | {len(late)} | {statistics.median(ended):.2f} | {max(ended):.2f} |")
    if late:
        print("late:", ", ".join(late))


if __name__ == "__main__":
    main()
