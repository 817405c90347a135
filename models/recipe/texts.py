"""Sentences as technicians say them, drawn from ``data/speech.grammar``.

The language model and the synthesized training speech both start here.  The same seed draws the same sentences.

Command: ``python -m models.recipe.texts COUNT [--seed N]`` prints sentences.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random

from models.recipe import spoken

GRAMMAR = Path(__file__).parent / "data" / "speech.grammar"
SPELLING = [
    "alpha",
    "bravo",
    "charlie",
    "delta",
    "echo",
    "foxtrot",
    "golf",
    "hotel",
    "india",
    "juliet",
    "kilo",
    "lima",
    "mike",
    "november",
    "oscar",
    "papa",
    "quebec",
    "romeo",
    "sierra",
    "tango",
    "uniform",
    "victor",
    "whiskey",
    "xray",
    "yankee",
    "zulu",
]
LETTERS = "abcdefghijklmnopqrstuvwxyz"
_PIECE = re.compile(r"<([^<>]+)>|(\[)|(\])|([^\s<>\[\]]+)")


@dataclass(frozen=True)
class Slot:
    """A drawing from a rule or a built-in: its name and its arguments."""

    name: str
    arguments: tuple[str, ...] = ()


@dataclass(frozen=True)
class Optional:
    """Pieces said every other time."""

    pieces: tuple[Piece, ...]


Piece = str | Slot | Optional


@dataclass(frozen=True)
class Rule:
    """The weighted alternatives of one name."""

    weights: tuple[float, ...]
    alternatives: tuple[tuple[Piece, ...], ...]


def parse_alternative(text: str) -> tuple[Piece, ...]:
    """Pieces of one alternative; brackets do not nest.  ValueError when they are not closed."""
    outside: list[Piece] = []
    inside: list[Piece] | None = None
    for slot, opened, closed, word in _PIECE.findall(text):
        target = outside if inside is None else inside
        if opened:
            if inside is not None:
                raise ValueError(f"brackets do not nest: {text!r}")
            inside = []
        elif closed:
            if inside is None:
                raise ValueError(f"']' without '[': {text!r}")
            outside.append(Optional(tuple(inside)))
            inside = None
        elif slot:
            name, *arguments = slot.split()
            target.append(Slot(name, tuple(arguments)))
        elif word != "-":
            target.append(word)
    if inside is not None:
        raise ValueError(f"'[' without ']': {text!r}")
    return tuple(outside)


def parse_grammar(text: str) -> dict[str, Rule]:
    """Rules by name.  ValueError for an alternative without a rule, or a slot that names no rule."""
    found: dict[str, list[tuple[float, tuple[Piece, ...]]]] = {}
    name = ""
    for line in text.splitlines():
        if not line.strip() or line.startswith("#"):
            continue
        if not line.startswith(" "):
            name = line.strip()
            found.setdefault(name, [])
            continue
        if not name:
            raise ValueError(f"an alternative before any rule: {line!r}")
        weighted = re.match(r"\s+(\d+(?:\.\d+)?):\s+(.*)", line)
        weight, body = (float(weighted[1]), weighted[2]) if weighted else (1.0, line.strip())
        found[name].append((weight, parse_alternative(body)))
    rules = {n: Rule(tuple(w for w, _ in a), tuple(p for _, p in a)) for n, a in found.items()}
    unknown = {s.name for s in _slots(rules.values()) if s.name not in rules and s.name not in _BUILT_IN}
    if unknown:
        raise ValueError(f"no such rule: {', '.join(sorted(unknown))}")
    return rules


def _slots(rules: Iterable[Rule]) -> Iterator[Slot]:
    for rule in rules:
        stack: list[Piece] = [p for alternative in rule.alternatives for p in alternative]
        while stack:
            piece = stack.pop()
            if isinstance(piece, Slot):
                yield piece
            elif isinstance(piece, Optional):
                stack.extend(piece.pieces)


def words_of(rules: dict[str, Rule]) -> set[str]:
    """Every word that the grammar can say, number words, letters and the spelling alphabet included."""
    words = set(spoken.NUMBER_WORDS) | set(SPELLING) | set(LETTERS)
    words |= {"negative", "and", "a", "an", "half", "quarter", "quarters", "third", "thirds", "eighth", "eighths"}
    for rule in rules.values():
        stack: list[Piece] = [p for alternative in rule.alternatives for p in alternative]
        while stack:
            piece = stack.pop()
            if isinstance(piece, str):
                words.add(piece)
            elif isinstance(piece, Optional):
                stack.extend(piece.pieces)
    return words


Draw = Callable[["Speaker", tuple[str, ...]], str]


class Speaker:
    """Draws sentences from a grammar; ``everyday`` are the words for <everyday>, commonest first."""

    def __init__(self, rules: dict[str, Rule], everyday: Sequence[str], seed: int) -> None:
        self.rules = rules
        self.everyday = list(everyday)
        self.rng = Random(seed)

    def say(self, name: str = "sentence") -> str:
        """One drawing from the rule ``name`` as words parted by single blanks."""
        rule = self.rules[name]
        pieces = self.rng.choices(rule.alternatives, rule.weights)[0]
        return re.sub(r"\s+", " ", " ".join(self._render(piece) for piece in pieces)).strip()

    def _render(self, piece: Piece) -> str:
        if isinstance(piece, str):
            return piece
        if isinstance(piece, Optional):
            return " ".join(self._render(p) for p in piece.pieces) if self.rng.random() < 0.5 else ""
        built_in = _BUILT_IN.get(piece.name)
        return built_in(self, piece.arguments) if built_in else self.say(piece.name)


def _integer(speaker: Speaker, arguments: tuple[str, ...]) -> str:
    low, high = map(int, arguments)
    return spoken.integer(speaker.rng.randint(low, high), speaker.rng)


def _decimal(speaker: Speaker, arguments: tuple[str, ...]) -> str:
    low, high, places = float(arguments[0]), float(arguments[1]), int(arguments[2])
    return spoken.decimal(f"{speaker.rng.uniform(low, high):.{places}f}", speaker.rng)


def _fraction(speaker: Speaker, arguments: tuple[str, ...]) -> str:
    low, high = map(int, arguments)
    return spoken.with_fraction(speaker.rng.randint(low, high), speaker.rng)


def _digits(speaker: Speaker, arguments: tuple[str, ...]) -> str:
    low, high = map(int, arguments)
    count = speaker.rng.randint(low, high)
    return spoken.digit_string("".join(speaker.rng.choice("0123456789") for _ in range(count)), speaker.rng)


def _everyday(speaker: Speaker, _: tuple[str, ...]) -> str:
    # Commonest first: the square draws the front of the list more often.
    place = int(len(speaker.everyday) * speaker.rng.random() ** 2)
    return speaker.everyday[place] if speaker.everyday else "thing"


_BUILT_IN: dict[str, Draw] = {
    "int": _integer,
    "decimal": _decimal,
    "fraction": _fraction,
    "digits": _digits,
    "everyday": _everyday,
    "letter": lambda speaker, _: speaker.rng.choice(LETTERS),
    "spell": lambda speaker, _: speaker.rng.choice(SPELLING),
}


def load(seed: int, everyday: Sequence[str] = (), path: Path = GRAMMAR) -> Speaker:
    """A speaker of the grammar in ``path``."""
    return Speaker(parse_grammar(path.read_text(encoding="utf-8")), everyday, seed)


def main() -> None:
    """Print sentences."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("count", type=int)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    speaker = load(options.seed)
    for _ in range(options.count):
        print(speaker.say())


if __name__ == "__main__":
    main()
