"""What a recogniser's own confidence is worth: a curve from its figure to the share of such words that were right.

``confidence.json`` beside a Vosk model, made by ``models/recipe/calibrate.py`` on sound the model never learned from::

    {"of": "3fa9...", "raw": [0.0, 0.41, ...], "right": [0.12, 0.35, ...], "words": 5210, "fitted_on": "..."}

Both lists rise; between two points the curve is straight.  ``of`` is the SHA-256 of the weights it was fitted for.  A
model without the file, or with one of other weights, keeps its own figures.
"""

from __future__ import annotations

import hashlib
import json
from bisect import bisect_right
from dataclasses import dataclass
from pathlib import Path

from journal.errors import ModelUnusable

FILE = "confidence.json"


@dataclass(frozen=True, slots=True)
class Calibration:
    """Points of a rising curve; ``raw`` and ``right`` are of one length, two points at least, all within 0..1."""

    raw: tuple[float, ...]
    right: tuple[float, ...]

    def __post_init__(self) -> None:
        rising = all(list(curve) == sorted(curve) and curve[0] >= 0 and curve[-1] <= 1 for curve in self._curves())
        if len(self.raw) != len(self.right) or len(self.raw) < 2 or not rising:
            raise ValueError("a calibration is two rising lists of one length within 0..1")

    def _curves(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        return (self.raw or (0.0,), self.right or (0.0,))

    def __call__(self, confidence: float) -> float:
        """Return the share of words with this ``confidence`` (0..1) that are right."""
        above = bisect_right(self.raw, confidence)
        if above == 0:
            return self.right[0]
        if above == len(self.raw):
            return self.right[-1]
        low, high = self.raw[above - 1], self.raw[above]
        part = (confidence - low) / (high - low)
        return self.right[above - 1] + part * (self.right[above] - self.right[above - 1])


AS_IT_IS = Calibration((0.0, 1.0), (0.0, 1.0))


def weights_of(folder: Path) -> str:
    """Return the SHA-256 of a Vosk model's weights, in either of its layouts; empty when there are none."""
    for file in (folder / "am" / "final.mdl", folder / "final.mdl"):
        if file.is_file():
            with file.open("rb") as stream:
                return hashlib.file_digest(stream, "sha256").hexdigest()
    return ""


def read_calibration(folder: Path) -> Calibration:
    """Return a model's calibration, ``AS_IT_IS`` where it has none of its own.

    Raises ``ModelUnusable`` for a damaged file.
    """
    file = folder / FILE
    if not file.is_file():
        return AS_IT_IS
    try:
        told = json.loads(file.read_text(encoding="utf-8"))
        curve = Calibration(tuple(map(float, told["raw"])), tuple(map(float, told["right"])))
        return curve if told["of"] == weights_of(folder) else AS_IT_IS
    except (ValueError, KeyError, TypeError, UnicodeDecodeError) as error:
        remedy = "Get the model again, or remove that file."
        raise ModelUnusable(folder, f"its {FILE} cannot be read ({error})", remedy) from error
