"""The arithmetic of the tagger's network: a small BERT (J. Devlin and others, 2019) in NumPy, for one utterance.

Weights are kept as whole numbers of eight bits with one scale a row.
"""

from __future__ import annotations

import io
import json
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float32]
HEADS = 12
SMALL = 1e-12
LONGEST = 256  # pieces


@dataclass(frozen=True)
class Encoder:
    """Weights by their names, and the names of what each output stands for."""

    weights: dict[str, Array]
    words: npt.NDArray[np.int8]  # of every piece, in eight bits: only a few rows are looked up
    word_scales: Array
    layers: int
    outputs: dict[str, list[str]]

    def __call__(self, pieces: list[int], parts: list[int], places: list[int]) -> dict[str, Array]:
        """Return for every output the probabilities at some places: (places, classes)."""
        w = self.weights
        found = self.words[pieces] * self.word_scales[pieces][:, None]
        x = found + w["places"][: len(pieces)] + w["parts"][parts]
        x = self._normed(x, "norm")
        for layer in range(self.layers):
            x = self._layer(x, f"{layer}.")
        at = x[places]
        return {name: _shares(at @ w[f"out.{name}"].T + w[f"out.{name}.bias"]) for name in self.outputs}

    def _layer(self, x: Array, name: str) -> Array:
        length, width = x.shape
        q, k, v = (
            self._map(x, name + part).reshape(length, HEADS, width // HEADS).transpose(1, 0, 2) for part in "qkv"
        )
        seen = _shares(q @ k.transpose(0, 2, 1) / np.float32((width // HEADS) ** 0.5)) @ v
        x = self._normed(x + self._map(seen.transpose(1, 0, 2).reshape(length, width), name + "o"), name + "norm1")
        wide = self._map(x, name + "up")
        wide *= np.float32(0.5) * (1 + np.tanh(wide * (np.float32(0.7978845608) + np.float32(0.0356774) * wide * wide)))
        return self._normed(x + self._map(wide, name + "down"), name + "norm2")

    def _map(self, x: Array, name: str) -> Array:
        mapped: Array = x @ self.weights[name].T + self.weights[name + ".bias"]
        return mapped

    def _normed(self, x: Array, name: str) -> Array:
        x = x - x.mean(1, keepdims=True)
        x /= np.sqrt((x * x).mean(1, keepdims=True) + SMALL)
        normed: Array = x * self.weights[name] + self.weights[name + ".bias"]
        return normed


def _shares(scores: Array) -> Array:
    powers: Array = np.exp(scores - scores.max(-1, keepdims=True))
    shares: Array = powers / powers.sum(-1, keepdims=True)
    return shares


def packed(weights: dict[str, Array], layers: int, outputs: dict[str, list[str]]) -> bytes:
    """Return the weights as a compressed file; tables of two dimensions in eight bits."""
    arrays: dict[str, Any] = {}
    for name, table in weights.items():
        if table.ndim == 2:
            scale = np.maximum(np.abs(table).max(1), 1e-8) / 127
            arrays[name] = np.rint(table / scale[:, None]).astype(np.int8)
            arrays[name + "#"] = scale.astype(np.float32)
        else:
            arrays[name] = table.astype(np.float32)
    about = json.dumps({"layers": layers, "outputs": outputs})
    file = io.BytesIO()
    np.savez_compressed(file, about=np.array(about), **arrays)
    return file.getvalue()


def unpacked(data: bytes) -> Encoder:
    """Read what ``packed`` wrote."""
    with np.load(io.BytesIO(data)) as kept:
        about = json.loads(str(kept["about"]))
        weights: dict[str, Array] = {}
        for name in kept.files:
            if name == "about" or name.endswith("#"):
                continue
            if name != "words":
                table = kept[name].astype(np.float32)
                weights[name] = table * kept[name + "#"][:, None] if name + "#" in kept.files else table
        return Encoder(weights, kept["words"], kept["words#"], about["layers"], about["outputs"])


@cache
def learned() -> Encoder:
    """The encoder the package carries."""
    return unpacked(resources.files("journal.interpret.tagger").joinpath("weights.npz").read_bytes())
