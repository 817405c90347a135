"""The tagger: words cut into pieces, its arithmetic, and that it can be asked about anything."""

from __future__ import annotations

import math

import numpy as np
import pytest

from journal.domain.kind import Kind
from journal.interpret.tagger.encoder import LONGEST, Encoder, learned, packed, unpacked
from journal.interpret.tagger.said import as_said
from journal.interpret.tagger.tags import NONE, NOWHERE, tags_of
from journal.interpret.tagger.wordpieces import END, START, UNKNOWN, cut, rows
from journal.interpret.vocabulary import table

#: the example of M. Schuster and K. Nakajima's algorithm as BERT's authors give it (tokenization.py, "unaffable")
KNOWN = {
    piece: n for n, piece in enumerate([UNKNOWN, "un", "##aff", "##able", "want", "##want", "##ed", "run", "##ning"])
}


@pytest.mark.parametrize(
    ("word", "pieces"),
    [
        ("unaffable", ["un", "##aff", "##able"]),
        ("unwanted", ["un", "##want", "##ed"]),
        ("running", ["run", "##ning"]),
        ("unwantedX", [UNKNOWN]),
    ],
)
def test_a_word_is_cut_longest_piece_first(word: str, pieces: list[str]) -> None:
    assert cut(word, KNOWN) == [KNOWN[piece] for piece in pieces]


def test_rows_hold_both_utterances_and_where_words_start() -> None:
    known = {piece: n for n, piece in enumerate(["[PAD]", START, END, UNKNOWN, "head", "two", "forty", "##s"])}
    pieces, parts, starts = rows(["head"], ["heads", "two"], known)
    assert [list(known)[n] for n in pieces] == [START, "head", END, "head", "##s", "two", END]
    assert parts == [0, 0, 0, 1, 1, 1, 1]
    assert starts == [3, 5]


@pytest.mark.parametrize(
    ("written", "spoken"),
    [
        ("241", "two forty one"),
        ("208", "two oh eight"),
        ("118", "one eighteen"),
        ("62", "sixty two"),
        ("7.7", "seven point seven"),
        ("0.05", "point zero five"),
        (".6", "point six"),
        ("1200", "twelve hundred"),
        ("1,250", "twelve fifty"),
        ("3000", "three thousand"),
        ("2010", "twenty ten"),
        ("0", "zero"),
        ("007", "zero zero seven"),
        ("48219", "four eight two one nine"),
        ("r410a", "r410a"),
        (".", "."),
        ("-", "-"),
    ],
)
def test_digits_are_asked_about_as_they_are_said(written: str, spoken: str) -> None:
    """Common practice: voltages and pressures are said in pairs."""
    assert as_said(written) == spoken.split()


def test_classes_are_kinds_roles_and_parts_of_the_vocabulary() -> None:
    outputs = learned().outputs
    kinds = {kind.value for kind in Kind}
    assert all(n == NONE or n in kinds or n.startswith(f"{Kind.PRESSURE.value} ") for n in outputs["kind"])
    assert set(outputs["component"]) - {NOWHERE} <= set(table("components"))
    assert set(outputs["role"]) == {"measured", "nameplate", "expected", "setting"}


@pytest.mark.parametrize("words", [["seven"], ["[unk]"], ["point", "point"], ["µ", "°"], ["nine"] * 600, ["x" * 500]])
def test_any_words_have_shares(words: list[str]) -> None:
    tags = tags_of(words, words)
    shares = tags.kinds(0, 0)
    assert math.isclose(sum(shares.values()), 1, rel_tol=1e-4)
    assert tags.kinds(LONGEST + 300, LONGEST + 301) == {}
    assert tags.start(LONGEST + 300) is None


def test_no_words_have_no_shares() -> None:
    assert tags_of([], []).kinds(0, 0) == {}


def test_a_plain_sentence_is_understood() -> None:
    """Common practice: windings are told by their ends, in ohms."""
    words = ["common", "to", "run", "one", "point", "four", "ohms"]
    tags = tags_of(words, [])
    kinds = tags.kinds(3, 5)
    assert max(kinds, key=kinds.__getitem__) == Kind.RESISTANCE.value
    starts = [tags.start(place) for place in (3, 4, 5)]
    assert starts[0] is not None
    assert [share is not None and share > 0.5 for share in starts] == [True, False, False]


def test_weights_are_kept_within_half_a_step() -> None:
    rng = np.random.default_rng(4)
    weights = {name: rng.normal(size=(5, 7)).astype(np.float32) for name in ("a", "words")}
    weights["b"] = rng.normal(size=3).astype(np.float32)
    back: Encoder = unpacked(packed(weights, 2, {"kind": ["x", "y"]}))
    for name, kept in (("a", back.weights["a"]), ("words", back.words * back.word_scales[:, None])):
        steps = np.abs(weights[name]).max(1, keepdims=True) / 127
        assert (np.abs(kept - weights[name]) <= steps * 0.501).all()
    assert (back.weights["b"] == weights["b"]).all()
    assert (back.layers, back.outputs) == (2, {"kind": ["x", "y"]})
