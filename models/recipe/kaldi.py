"""Kaldi's binary model file: the pieces it is made of, our phones and their topology, and a reader.

Tokens are ASCII and a blank; a number is its size in bytes and then itself, little-endian; vectors and matrices carry a
two-letter mark.  ``CM2`` is Kaldi's 16-bit compressed matrix, ``CM`` the one of bytes with four marks a column, ``CM3``
the one of bytes alone.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

from models.recipe.lexicon import PHONES

Array = npt.NDArray[np.float32]
POSITIONS = "BEIS"
# Phone symbols: 1 is silence, then each phone at a word's begin, end, inside, and as a whole word.
SYMBOLS = ["<eps>", "SIL", *(f"{p}_{w}" for p in PHONES for w in POSITIONS)]
PHONE_COUNT = len(SYMBOLS) - 1
SILENCE = 1
# Topologies: a list of states, each (uses the phone's own pdf?, transitions); the last state is the end.
#   0 silence: blank, repeated.  1 begin and inside: the phone, then blank or not.  2 end and single: the phone only, so
#   that blank after a word is silence and the recogniser sees the word end.
TOPOLOGIES: list[list[tuple[bool, list[tuple[int, float]]]]] = [
    [(True, [(0, 0.5), (1, 0.5)])],
    [(True, [(0, 0.4), (1, 0.3), (2, 0.3)]), (False, [(1, 0.5), (2, 0.5)])],
    [(True, [(0, 0.4), (1, 0.6)])],
]


def symbol(phone: str, position: str) -> int:
    """Number of a phone at a position of its word."""
    return 2 + PHONES.index(phone) * 4 + POSITIONS.index(position)


def pdf(number: int) -> int:
    """Network output of a phone symbol: 0 is the blank, shared by silence."""
    return 0 if number == SILENCE else (number - 2) // 4 + 1


def topology(number: int) -> int:
    """Which topology a phone symbol has."""
    return 0 if number == SILENCE else 1 if POSITIONS[(number - 2) % 4] in "BI" else 2


def transitions() -> tuple[dict[tuple[int, int, int], int], list[float]]:
    """Transition number by (phone symbol, state, transition), counted from 1, and each one's probability."""
    numbers: dict[tuple[int, int, int], int] = {}
    probabilities = [1.0]
    for phone in range(1, PHONE_COUNT + 1):
        for state, (_, moves) in enumerate(TOPOLOGIES[topology(phone)]):
            for place, (_, probability) in enumerate(moves):
                numbers[phone, state, place] = len(probabilities)
                probabilities.append(probability)
    return numbers, probabilities


def token(text: str) -> bytes:
    """A token."""
    return text.encode() + b" "


def int32(value: int) -> bytes:
    """An integer."""
    return b"\x04" + struct.pack("<i", int(value))


def float32(value: float) -> bytes:
    """A single-precision number."""
    return b"\x04" + struct.pack("<f", value)


def float64(value: float) -> bytes:
    """A double-precision number."""
    return b"\x08" + struct.pack("<d", value)


def boolean(value: bool) -> bytes:
    """A truth value."""
    return b"T" if value else b"F"


def vector(values: Any) -> bytes:
    """A vector of single-precision numbers."""
    flat = np.asarray(values, "<f4")
    return token("FV") + int32(len(flat)) + flat.tobytes()


def int_vector(values: Any) -> bytes:
    """A vector of integers."""
    flat = np.asarray(values, "<i4")
    return b"\x04" + struct.pack("<i", len(flat)) + flat.tobytes()


# Bytes at which the four marks of a column lie; linear between them.
_MARKS = np.array([0.0, 64.0, 192.0, 255.0])
# Which values are marked: Kaldi takes quartiles; eighths leave about a fifth less of rounding in our networks.
_MARKED = (0.0, 0.125, 0.875, 1.0)


def matrix(values: Any, bits: int = 16) -> bytes:
    """A matrix: smallest value, range, rows, columns, then the share of the range of each entry in 16 bits.

    With ``bits`` of 8 the shares are of four marks a column (lowest, first and last eighth, highest), and each entry is
    a byte that tells where it lies between the marks, column by column.
    """
    full = np.asarray(values, "<f4")
    low = float(full.min())
    span = max(float(full.max()) - low, 1e-9)
    head = struct.pack("<ffii", low, span, *full.shape)
    shares = (full.astype(np.float64) - low) / span * 65535
    if bits == 16:
        return token("CM2") + head + np.round(shares).astype("<u2").tobytes()
    if bits != 8:
        raise ValueError(f"matrices are written in 8 or 16 bits, not {bits}")
    marks = np.round(np.quantile(shares, _MARKED, axis=0)).T
    places = [np.interp(column, _apart(own), _MARKS) for column, own in zip(shares.T, marks, strict=True)]
    return token("CM") + head + marks.astype("<u2").tobytes() + np.round(places).astype("u1").tobytes()


def _apart(marks: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Marks of a column with a little between those that are alike, so that ``interp`` can tell them apart."""
    return marks + np.arange(len(marks)) * 1e-6


@dataclass
class Component:
    """A component's type and its fields."""

    kind: str
    values: dict[str, Any] = field(default_factory=dict)

    def matrix(self, name: str) -> Array:
        """A field that is a matrix."""
        return np.asarray(self.values[name], np.float32)

    def vector(self, name: str) -> Array:
        """A field that is a vector."""
        return np.asarray(self.values[name], np.float32)


@dataclass
class Model:
    """What a final.mdl holds, as far as we need it."""

    tuples: list[tuple[int, ...]]
    config: list[str]
    components: dict[str, Component]
    left_context: int
    right_context: int
    priors: Array


class Reader:
    """Reads pieces one after the other; ValueError where the bytes are not what is asked for."""

    def __init__(self, data: bytes) -> None:
        self.data, self.at = data, 0

    def token(self) -> str:
        """The next token."""
        while self.data[self.at : self.at + 1] in (b" ", b"\n", b"\t"):
            self.at += 1
        end = self.at
        while end < len(self.data) and self.data[end] not in b" \n\t":
            end += 1
        text = self.data[self.at : end].decode("ascii")
        self.at = end + 1
        return text

    def expect(self, *texts: str) -> str:
        """The next token, which must be one of ``texts``."""
        found = self.token()
        if found not in texts:
            raise ValueError(f"expected {' or '.join(texts)} at byte {self.at}, found {found[:40]!r}")
        return found

    def number(self, letter: str) -> Any:
        """A number: struct letter i, f or d."""
        size = self.data[self.at]
        if size != struct.calcsize(letter):
            raise ValueError(f"a number of {size} bytes at byte {self.at}, expected '{letter}'")
        value = struct.unpack_from("<" + letter, self.data, self.at + 1)[0]
        self.at += 1 + size
        return value

    def array(self, count: int, kind: str) -> npt.NDArray[Any]:
        """``count`` raw values."""
        values = np.frombuffer(self.data, kind, count, self.at)
        self.at += values.nbytes
        return values

    def int_vector(self) -> npt.NDArray[Any]:
        """A vector of integers."""
        return self.array(self.number("i"), "<i4")

    def tensor(self) -> npt.NDArray[Any]:
        """A vector or matrix of any kind."""
        mark = self.expect("FV", "DV", "FM", "DM", "CM", "CM2", "CM3")
        if mark.startswith("CM"):
            low, span, rows, columns = struct.unpack_from("<ffii", self.data, self.at)
            self.at += 16
            if mark == "CM":
                marks = self.array(columns * 4, "<u2").reshape(columns, 4).astype(np.float64)
                places = self.array(rows * columns, "u1").reshape(columns, rows)
                parts = np.array([np.interp(column, _MARKS, own) for column, own in zip(places, marks, strict=True)])
                return np.ascontiguousarray((low + span * parts / 65535).T, np.float32)
            kind, top = ("<u2", 65535.0) if mark == "CM2" else ("u1", 255.0)
            shares = self.array(rows * columns, kind).reshape(rows, columns)
            return np.asarray(low + span * shares / top, np.float32)
        kind = "<f4" if mark[0] == "F" else "<f8"
        if mark[1] == "V":
            return self.array(self.number("i"), kind)
        rows, columns = self.number("i"), self.number("i")
        return self.array(rows * columns, kind).reshape(rows, columns)

    def field(self, name: str) -> Any:
        """The value after a field's name: recognised by its first bytes."""
        ahead = self.data[self.at : self.at + 3]
        if name == "<TimeOffsets>":
            return self.int_vector()
        if name == "<AlphaInOut>":
            return self.number("f"), self.number("f")
        if name == "<RankInOut>":
            return self.number("i"), self.number("i")
        if ahead[:1] == b"<":
            return None
        if ahead[:1] in b"TF" and ahead[1:2] == b"<":
            self.at += 1
            return ahead[:1] == b"T"
        if ahead[0] == 8:
            return self.number("d")
        if ahead[0] == 4:
            return self.number("f")
        return self.tensor()


def read_model(data: bytes) -> Model:
    """Take a binary nnet3 model apart.  ValueError when it is none."""
    if data[:2] != b"\0B":
        raise ValueError("not a binary Kaldi file")
    reader = Reader(data)
    reader.at = 2
    reader.expect("<TransitionModel>")
    reader.expect("<Topology>")
    reader.int_vector()
    reader.int_vector()
    entries = reader.number("i")
    with_loops = entries == -1
    entries = reader.number("i") if with_loops else entries
    for _ in range(entries):
        for _ in range(reader.number("i")):
            reader.number("i")
            if with_loops:
                reader.number("i")
            for _ in range(reader.number("i")):
                reader.number("i")
                reader.number("f")
    reader.expect("</Topology>")
    width = 4 if reader.expect("<Tuples>", "<Triples>") == "<Tuples>" else 3
    tuples = [tuple(reader.number("i") for _ in range(width)) for _ in range(reader.number("i"))]
    reader.expect("</Tuples>", "</Triples>")
    reader.expect("<LogProbs>")
    reader.tensor()
    reader.expect("</LogProbs>")
    reader.expect("</TransitionModel>")
    reader.expect("<Nnet3>")
    end = data.index(b"\n\n", reader.at)
    config = data[reader.at : end].decode("ascii").strip().split("\n")
    reader.at = end + 2
    reader.expect("<NumComponents>")
    components = {}
    for _ in range(reader.number("i")):
        reader.expect("<ComponentName>")
        name, kind = reader.token(), reader.token()
        component = Component(kind)
        while not (key := reader.token()).startswith("</"):
            component.values[key] = reader.field(key)
        components[name] = component
    reader.expect("</Nnet3>")
    reader.expect("<LeftContext>")
    left = reader.number("i")
    reader.expect("<RightContext>")
    right = reader.number("i")
    reader.expect("<Priors>")
    return Model(tuples, config, components, left, right, np.asarray(reader.tensor(), np.float32))
