"""Commands, answers and the journal's own sentences, from ``spoken.toml``."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from importlib import resources

from journal.domain.speech import Utterance

REST = "..."
UNKNOWN = "[unk]"  # a word that no listener knew


@dataclass(frozen=True, slots=True)
class Command:
    """One command as it was understood; ``rest`` is what followed it (the name of a machine)."""

    name: str
    rest: str = ""


@dataclass(frozen=True, slots=True)
class AskRules:
    """When and how the journal asks back; seconds, and codes of doubts.  ``spoken.toml`` explains each."""

    codes: frozenset[str]
    within: float
    wait: float
    stale: float
    times: int
    sure: float


@dataclass(frozen=True, slots=True)
class Spoken:
    """The whole file, looked up by words."""

    wordings: dict[tuple[str, ...], str]
    open_wordings: dict[tuple[str, ...], str]
    around: frozenset[str]
    answers: dict[tuple[str, ...], str]
    ask: AskRules
    said: dict[str, str]
    longest_name: int
    never_named: frozenset[str]

    def command(self, text: str) -> Command | None:
        """Return the command that an utterance is, ``None`` for narration."""
        for words in self._trimmed(text):
            if name := self.wordings.get(words):
                return Command(name)
            for opening, name in self.open_wordings.items():
                if words[: len(opening)] == opening and self._names(rest := words[len(opening) :]):
                    return Command(name, " ".join(word for word in rest if word != UNKNOWN))
        return None

    def _names(self, words: tuple[str, ...]) -> bool:
        return 0 < len(words) <= self.longest_name and not self.never_named & set(words)

    def answer(self, text: str) -> str | None:
        """Return ``yes``, ``no``, ``first`` or ``second`` when an utterance is nothing but that."""
        return next((self.answers[words] for words in self._trimmed(text) if words in self.answers), None)

    def sentence(self, which: str, /, **filling: str) -> str:
        """Return one of the journal's own sentences."""
        return self.said[which].format(**filling)

    def _trimmed(self, text: str) -> Iterator[tuple[str, ...]]:
        """Yield the words as they are, then without what may stand around a command."""
        words = tuple(text.lower().split())
        yield words
        first, last = 0, len(words)
        while first < last and words[first] in self.around:
            first += 1
            yield words[first:last]
        while first < last and words[last - 1] in self.around:
            last -= 1
            yield words[first:last]


@cache
def spoken() -> Spoken:
    """Read ``spoken.toml`` once; refuses one wording for two commands."""
    text = resources.files("journal.live").joinpath("spoken.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text)
    wordings: dict[tuple[str, ...], str] = {}
    open_wordings: dict[tuple[str, ...], str] = {}
    for name, forms in data["commands"].items():
        for form in forms:
            words = tuple(form.split())
            table, key = (open_wordings, words[:-1]) if words[-1] == REST else (wordings, words)
            if key in table:
                raise ValueError(f"spoken.toml: '{form}' stands for two commands")
            table[key] = name
    answers = {tuple(form.split()): name for name, forms in data["answers"].items() for form in forms}
    ask = data["ask"]
    rules = AskRules(frozenset(ask["codes"]), ask["within"], ask["wait"], ask["stale"], ask["times"], ask["sure"])
    around, names = frozenset(data["around"]["words"]), data["names"]
    return Spoken(
        wordings, open_wordings, around, answers, rules, data["said"], names["longest"], frozenset(names["never"])
    )


@dataclass(frozen=True, slots=True)
class SaidNumber:
    """A number that was the whole of an utterance; ``by_digits`` when it was spoken digit by digit ('one five')."""

    value: Decimal
    by_digits: bool


def said_numbers(utterance: Utterance) -> tuple[SaidNumber, ...]:
    """Return the numbers that an utterance is, when it is nothing but a number; the likeliest first."""
    from journal.interpret.document import pieces_of
    from journal.interpret.numbers.number_words import words
    from journal.interpret.numbers.numbers import Reader

    around = spoken().around
    kept = tuple(word for word in utterance.words if word.text not in around)
    if not kept:
        return ()
    pieces = pieces_of(Utterance(utterance.recording, utterance.index, kept))
    ones = words().ones
    digits = len(pieces) > 1 and all(piece.text in ones or piece.text in words().points for piece in pieces)
    whole = [number for number in Reader(pieces).numbers_at(0) if number.last == len(pieces) - 1] if pieces else []
    return tuple(SaidNumber(number.value, digits) for number in whole)
