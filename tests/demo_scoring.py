"""What should come out of the demo visits, and how to count what did.

``python -m tests.demo_scoring`` hears the demo recordings and prints the figures the README shows.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Any

from journal.cli.demo import demo_visits
from journal.domain.reading import Reading
from journal.domain.speech import Utterance, utterance_of
from journal.errors import BadInput
from journal.pipeline import Rules, understand
from journal.units import Amount, convert


@dataclass(frozen=True)
class Expected:
    """One reading of an ``expected.toml``."""

    line: int
    fields: dict[str, Any]

    @property
    def withdrawn(self) -> bool:
        return bool(self.fields.get("withdrawn", False))

    @property
    def name(self) -> str:
        f = self.fields
        amount = f.get("value") or f.get("state") or f"{f.get('low', '')}..{f.get('high', '')}"
        place = "-".join(f.get("points", ())) or f.get("component", "")
        return f"line {self.line}: {place} {f['kind']} {amount} {f.get('unit', '')}".replace("  ", " ").strip()


@dataclass(frozen=True)
class DemoVisit:
    """One folder of ``demo/``."""

    folder: Path
    about: dict[str, Any]
    lines: tuple[str, ...]
    readings: tuple[Expected, ...]

    @property
    def recording(self) -> Path:
        return self.folder / "recording.opus"

    def utterances(self) -> list[Utterance]:
        return [utterance_of(line, "r1", index) for index, line in enumerate(self.lines)]


def load_demo() -> list[DemoVisit]:
    visits = []
    for folder in demo_visits():
        about = tomllib.loads((folder / "expected.toml").read_text(encoding="utf-8"))
        lines = tuple(line for line in (folder / "script.txt").read_text(encoding="utf-8").splitlines() if line.strip())
        readings = tuple(
            Expected(row["line"], {key: value for key, value in row.items() if key != "line"})
            for row in about["reading"]
        )
        visits.append(DemoVisit(folder, about, lines, readings))
    return visits


def same_amount(expected: Expected, reading: Reading) -> bool:
    """True when value (or range, or state) and unit are the same amount: 86 oz is 5.375 lb."""
    f = expected.fields
    if (f.get("state") or None) != (reading.state.value if reading.state else None):
        return False
    for key in ("value", "low", "high"):
        want, got = f.get(key), getattr(reading, key)
        if (want is None) != (got is None):
            return False
        if want is not None and not _equal(Decimal(want), f.get("unit"), got, reading.unit):
            return False
    return bool(f["kind"] == reading.kind.value)


def _equal(want: Decimal, unit: str | None, got: Decimal, got_unit: str | None) -> bool:
    if unit is None or got_unit is None:
        return unit == got_unit and want == got
    try:
        return abs(convert(Amount(got, got_unit), unit).value - want) <= abs(want) * Decimal("1e-9")
    except BadInput:
        return False


def placed_right(expected: Expected, reading: Reading) -> list[str]:
    """Return what besides the amount differs, in words; keys an expectation leaves out are not compared."""
    wrong = []
    defaults = {"role": "measured", "withdrawn": False}
    for key, want in {**defaults, **expected.fields}.items():
        if key in ("kind", "value", "low", "high", "unit", "state", "alternatives", "doubted"):
            continue
        got = getattr(reading, key)
        if key == "points":
            same = sorted(got) == sorted(want)
        elif key == "conditions":
            same = set(want) <= set(got)
        elif key == "held_for":
            same = got is not None and got == Decimal(want)
        else:
            same = (got.value if hasattr(got, "value") else got) == want
        if not same:
            wrong.append(f"{key} is {got!r}, not {want!r}")
    return wrong


@dataclass
class Score:
    """Counts over the readings that were spoken and not taken back."""

    spoken: int = 0
    right: int = 0
    right_doubted: int = 0
    misplaced: list[str] = field(default_factory=list)
    missed: list[str] = field(default_factory=list)
    wrong_doubted: list[str] = field(default_factory=list)
    wrong_undoubted: list[str] = field(default_factory=list)


def align(expected: Sequence[Expected], readings: Sequence[Reading]) -> list[tuple[Expected | None, Reading | None]]:
    """Pair expectations and readings in order, as many equal amounts as possible (longest common subsequence)."""
    rows, columns = len(expected), len(readings)
    best = [[0] * (columns + 1) for _ in range(rows + 1)]
    for i in range(rows - 1, -1, -1):
        for j in range(columns - 1, -1, -1):
            if same_amount(expected[i], readings[j]):
                best[i][j] = best[i + 1][j + 1] + 1
            else:
                best[i][j] = max(best[i + 1][j], best[i][j + 1])
    pairs: list[tuple[Expected | None, Reading | None]] = []
    i = j = 0
    while i < rows or j < columns:
        if i < rows and j < columns and same_amount(expected[i], readings[j]):
            pairs.append((expected[i], readings[j]))
            i, j = i + 1, j + 1
        elif j == columns or (i < rows and best[i + 1][j] >= best[i][j + 1]):
            pairs.append((expected[i], None))
            i += 1
        else:
            pairs.append((None, readings[j]))
            j += 1
    return pairs


def score(expected: Sequence[Expected], readings: Sequence[Reading]) -> Score:
    """Count what came out against what was spoken; withdrawn values count only when they came out as standing."""
    spoken = [e for e in expected if not e.withdrawn]
    standing = [r for r in readings if not r.withdrawn]
    result = Score(spoken=len(spoken))
    for want, got in align(spoken, standing):
        if want and got:
            result.right += 1
            result.right_doubted += got.needs_listening
            if wrong := placed_right(want, got):
                result.misplaced.append(f"{want.name}: {'; '.join(wrong)}")
        elif want:
            result.missed.append(want.name)
        elif got:
            said = got.evidence.said if got.evidence else ""
            number = got.value if got.value is not None else got.state or f"{got.low}..{got.high}"
            entry = f"{number} {got.unit or ''} from '{said}'"
            (result.wrong_doubted if got.needs_listening else result.wrong_undoubted).append(entry)
    return result


def hear_and_score(*, twice: bool) -> dict[str, Score]:
    """Hear every demo recording with the carried model, ``twice`` with the second listener too, and score it."""
    from journal.cli.hearing import load_model, load_second_listener
    from journal.hear.second_listener import hear_again
    from journal.hear.vosk_recogniser import transcribe

    model = load_model(None)
    second = load_second_listener("auto") if twice else None
    scores = {}
    for visit in load_demo():
        heard = list(transcribe(visit.recording, model))
        if second:
            heard += list(hear_again(visit.recording, heard, second))
        understanding = understand(heard, rules=Rules())
        scores[visit.folder.name] = score(visit.readings, understanding.interpretation.readings)
    return scores


FIGURES = Path(__file__).with_name("demo_figures.toml")
LISTENERS = {"once": False, "twice": True}


def figures() -> dict[str, dict[str, dict[str, Any]]]:
    """Return what was measured last: by listening ``once`` or ``twice``, by visit."""
    return tomllib.loads(FIGURES.read_text(encoding="utf-8"))


def main() -> None:
    """Measure anew and write the figures; the README is made from them by ``python -m tests.readme``."""
    lines = [
        "# Measured from the sound of the demo visits by python -m tests.demo_scoring; tests fail when one gets worse.",
        "# 'once': the carried model alone; 'twice': with the second listener.  Lists name each miss.",
    ]
    for name, twice in LISTENERS.items():
        for visit, s in hear_and_score(twice=twice).items():
            lines += ["", f'[{name}."{visit}"]']
            lines += [f"{key} = {getattr(s, key)}" for key in ("spoken", "right", "right_doubted")]
            for key in ("missed", "misplaced", "wrong_doubted", "wrong_undoubted"):
                lines += [
                    f"{key} = [",
                    *(f"  {json.dumps(entry, ensure_ascii=False)}," for entry in getattr(s, key)),
                    "]",
                ]
    FIGURES.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
