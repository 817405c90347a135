"""Words cut into the pieces that the encoder knows: the longest that fits, then the longest of what is left.

The vocabulary is part of BERT's (J. Devlin and others, 2019); '##' marks a piece that goes on a word.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from importlib import resources

from journal.interpret.tagger.said import as_said

PADDING, START, END, UNKNOWN = "[PAD]", "[CLS]", "[SEP]", "[UNK]"


def cut(word: str, known: dict[str, int]) -> list[int]:
    """Return the numbers of a word's pieces; that of the unknown one where no piece fits."""
    found, at = list[int](), 0
    while at < len(word):
        mark = "##" if at else ""
        end = next((end for end in range(len(word), at, -1) if mark + word[at:end] in known), at)
        if end == at:
            return [known[UNKNOWN]]
        found.append(known[mark + word[at:end]])
        at = end
    return found or [known[UNKNOWN]]


def rows(earlier: Sequence[str], words: Sequence[str], known: dict[str, int]) -> tuple[list[int], list[int], list[int]]:
    """Return what the encoder reads: pieces, the part each belongs to (0: earlier), and where each word starts."""
    pieces, starts = [known[START]], list[int]()
    for word in earlier:
        pieces += _said(word, known)
    pieces.append(known[END])
    parts = [0] * len(pieces)
    for word in words:
        starts.append(len(pieces))
        pieces += _said(word, known)
    pieces.append(known[END])
    parts += [1] * (len(pieces) - len(parts))
    return pieces, parts, starts


def _said(word: str, known: dict[str, int]) -> list[int]:
    return [piece for part in as_said(word) for piece in cut(part, known)]


@cache
def vocabulary() -> dict[str, int]:
    """The pieces that the package's encoder knows, with their numbers."""
    text = resources.files("journal.interpret.tagger").joinpath("wordpieces.txt").read_text(encoding="utf-8")
    return {piece: number for number, piece in enumerate(text.splitlines())}
