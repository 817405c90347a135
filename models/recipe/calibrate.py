"""What a model's word confidences are worth: a rising curve fitted on one reserved voice and shown on the other.

    python -m models.recipe.calibrate WORK MODEL [--parts clean '10 dB'] [--write]

Hears the spoken readings (``models.recipe.readings``; what was heard stays in WORK), lays what was heard against what
was said word by word, fits an isotonic curve (scikit-learn) on ``rms`` and prints the reliability of ``joe``'s words
with and without it: in each tenth of confidence the words there were, their mean confidence, the share of right ones.
``--write`` puts ``confidence.json`` beside the model and writes its manifest anew.
"""

from __future__ import annotations

import argparse
import datetime as dt
import json
import re
from collections.abc import Iterable, Sequence
from difflib import SequenceMatcher
from itertools import pairwise
from pathlib import Path
from typing import Any

from journal.hear.calibration import FILE, Calibration, weights_of
from journal.hear.model_files import find_model, write_manifest
from journal.hear.recogniser import UNKNOWN
from models.recipe.heard import CONDITIONS, Heard, hear

Pair = tuple[float, bool]  # confidence, and whether the word was right
FITTED_ON, SHOWN_ON = "rms", "joe"
TENTHS = 10
LEAST_WORDS = 25
"""Words that a step of the curve stands on at least."""


def pairs(heard: Iterable[Heard]) -> list[Pair]:
    """Every word heard, save the unknown ones, with its confidence and whether it was said there."""
    found: list[Pair] = []
    for one in heard:
        words = [word for utterance in one.first for word in utterance.words]
        said, ours = plain(one.line.text.split()), plain([word.text for word in words])
        matched = {
            block.b + n
            for block in SequenceMatcher(None, said, ours, autojunk=False).get_matching_blocks()
            for n in range(block.size)
        }
        found += [(word.confidence, at in matched) for at, word in enumerate(words) if word.text != UNKNOWN]
    return found


def plain(words: Sequence[str]) -> list[str]:
    """Words as they are compared: 'oh' is 'zero', what sounds the same is the same."""
    alike = {"oh": "zero", "too": "two", "to": "two", "four": "for"}
    return [alike.get(word, re.sub(r"'s$", "", word)) for word in words]


def fit(known: Sequence[Pair]) -> Calibration:
    """The rising curve nearest to ``known``, in steps of ``LEAST_WORDS`` words or more.  Needs scikit-learn."""
    from sklearn.isotonic import IsotonicRegression  # type: ignore[import-untyped,unused-ignore]

    ordered = sorted(known, key=lambda pair: pair[0])
    count = max(2, len(ordered) // LEAST_WORDS)
    edges = [round(len(ordered) * step / count) for step in range(count + 1)]
    groups = [ordered[a:b] for a, b in pairwise(edges)]
    raw = [sum(confidence for confidence, _ in group) / len(group) for group in groups]
    right = [sum(good for _, good in group) / len(group) for group in groups]
    curve = IsotonicRegression(y_min=0.0, y_max=1.0).fit_transform(
        raw, right, sample_weight=[len(group) for group in groups]
    )
    points: list[tuple[float, float]] = []
    for x, y in zip(raw, curve, strict=True):
        if points and x - points[-1][0] < 1e-6:
            continue
        if len(points) > 1 and points[-1][1] == points[-2][1] == float(y):
            points.pop()  # the middle of a flat stretch says nothing
        points.append((round(x, 5), round(float(y), 4)))
    if len(points) < 2:
        points = [(0.0, points[0][1]), (1.0, points[0][1])]
    return Calibration(tuple(x for x, _ in points), tuple(y for _, y in points))


def tenths(known: Iterable[Pair]) -> list[tuple[int, float, float]]:
    """For each tenth of confidence: words, mean confidence, share right; zeros where there are none."""
    groups: list[list[Pair]] = [[] for _ in range(TENTHS)]
    for confidence, good in known:
        groups[min(TENTHS - 1, int(confidence * TENTHS))].append((confidence, good))
    return [
        (len(g), sum(c for c, _ in g) / len(g), sum(good for _, good in g) / len(g)) if g else (0, 0.0, 0.0)
        for g in groups
    ]


def error(known: Sequence[Pair]) -> float:
    """Expected calibration error: the mean gap between confidence and share right, by tenths, weighted by words.

    Naeini, Cooper and Hauskrecht, 'Obtaining well calibrated probabilities using Bayesian binning', AAAI 2015.
    """
    return sum(n * abs(mean - right) for n, mean, right in tenths(known)) / max(1, len(known))


def table(before: Sequence[Pair], after: Sequence[Pair]) -> str:
    """Reliability in markdown, the model's own figure and the calibrated one side by side."""
    lines = ["| confidence | own: words | mean | right | calibrated: words | mean | right |", "|---|" + "---|" * 6]
    for place, rows in enumerate(zip(tenths(before), tenths(after), strict=True)):
        cells = [f"{n} | {mean:.2f} | {right:.2f}" if n else "0 | - | -" for n, mean, right in rows]
        lines.append(f"| {place / 10:.1f} to {(place + 1) / 10:.1f} | {' | '.join(cells)} |")
    mean_gap = f"mean gap {error(before):.3f} before, {error(after):.3f} after, {len(before)} words"
    return "\n".join([*lines, "", mean_gap])


def save(folder: Path, curve: Calibration, about: dict[str, Any]) -> None:
    """Put the curve beside a model; its manifest, where it has one, is written anew."""
    told = {"of": weights_of(folder), **about, "raw": curve.raw, "right": curve.right}
    (folder / FILE).write_text(json.dumps(told, indent=1) + "\n", encoding="utf-8")
    if (folder / "manifest.json").exists():
        write_manifest(folder)


def main() -> None:
    """Fit, show and write the calibration of a model."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("work", type=Path)
    parser.add_argument("model")
    parser.add_argument("--parts", nargs="+", default=["clean", "10 dB"], choices=list(CONDITIONS))
    parser.add_argument("--write", action="store_true")
    parser.add_argument("--kept", action="store_true", help="hear nothing, take what was heard before")
    told = parser.parse_args()
    found = {
        voice: pairs(
            one
            for part in told.parts
            for one in hear(told.work, voice, part, told.model, calibrated=False, anew=not told.kept)
        )
        for voice in (FITTED_ON, SHOWN_ON)
    }
    curve = fit(found[FITTED_ON])
    shown = found[SHOWN_ON]
    print(table(shown, [(curve(confidence), good) for confidence, good in shown]))
    if told.write:
        about = {
            "words": len(found[FITTED_ON]),
            "fitted_on": f"voice {FITTED_ON} (synthetic, reserved), {', '.join(told.parts)}",
            "made": dt.date.today().isoformat(),
        }
        save(find_model(told.model).path, curve, about)


if __name__ == "__main__":
    main()
