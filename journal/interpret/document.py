"""Heard or typed words as a spaCy ``Doc``, one token for every piece that can mean something by itself.

A spoken word is one token, so token, word and time run in step.  Typed notes hide several tokens in a word
('118psi', 'R-S', '120/240V'); their pieces remember which word they stand in, so that evidence still counts words.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from journal.domain.speech import Utterance, Word
from journal.interpret.numbers.mixed_numbers import joined
from journal.interpret.vocabulary import small_words, table

_PIECES = re.compile(
    r"""\[unk\]|<unk>
      | [Ii]n(?:ch)?H[2₂][Oo]                                  # inH2O
      | "(?:[Ww]\.?[Cc]|[Hh][Gg])                              # "wc, "Hg
      | [Rr]-?\d{2,4}(?:[A-Ga-g]|yf|ze)?(?!\w|\.\d)              # R-410A
      | (?<![\w.])[LlTtYyWw][1-3](?!\w|\.\d)                     # L1, T3, Y2
      | \d+\.\d(?=\d+\.\d)                                     # two decimals written as one: 7.17.2
      | \d{1,3}(?:,\d{3})+(?:\.\d+)?(?![\d])|\d+(?:\.\d+)?|\.\d+
      | [°º][FfCc]?(?![A-Za-z])
      | [kKMmGµμ]?[ΩΩ]
      | [-=]>                                                  # arrows: 15 -> 10
      | [^\W\d_]+(?:['’][^\W\d_]+)*
      | \S""",
    re.VERBOSE,
)
_NUMBER = re.compile(r"(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d+)?|\.\d+")
UNKNOWN = "[unk]"
LOW_CONFIDENCE = 0.8
"""Below this share of right words (calibrated) a word is doubted.

Of 180 sentences in voice rms 18 readings of the first listener alone were wrong without a doubt at 0.7, 13 at 0.8, 11
at 0.9; right ones doubted: 20, 33 and 33 of 144.
"""
SURE = 0.9
"""From here on a number word needs no hearing for other words: when of 822 sentences in voice rms, clean and at 10 dB,
only those with a less sure one were heard again (a third of the sound), one doubt was lost and no reading changed."""

STOPS = frozenset(".;!?:,()")


@dataclass(frozen=True, slots=True)
class Piece:
    """One token: its normal form, how it stood, the word it is part of, and that word's seconds and confidence."""

    text: str
    raw: str
    word: int
    glued: bool = False  # written without a blank before it
    number: Decimal | None = None  # the value of digits
    start: float = 0.0
    end: float = 0.0
    confidence: float = 1.0


def split_word(word: str) -> list[tuple[str, str]]:
    """Return a written word's pieces as (normal form, as it stood).

    'head's' -> head, 's; 'twenty-six' -> twenty, six; '7.7Ω' -> 7.7, Ω; '145-175' -> 145, -, 175.
    """
    whole = table("mishearings")["whole"]
    pieces: list[tuple[str, str]] = []
    found = _PIECES.findall(word)
    for place, raw in enumerate(found):
        low = raw.lower().replace("’", "'")
        if raw == "-" and 0 < place < len(found) - 1 and _parted_words(found[place - 1], found[place + 1]):
            continue  # a hyphen between words parts them and says nothing
        base, mark, tail = low.partition("'")
        if mark and tail in small_words("cut_off_verbs") and base not in whole and low not in whole:
            pieces += [(base, raw[: len(base)]), (mark + tail, raw[len(base) :])]
        elif low == "'" or (
            raw == "." and place and len(found) > 1 and place == len(found) - 1 and _is_letter(found[0])
        ):
            continue
        else:
            pieces.append((low, raw))
    return pieces or [(word.lower(), word)]


def _is_letter(text: str) -> bool:
    return len(text) == 1 and text.isalpha()


def _parted_words(before: str, behind: str) -> bool:
    """True when a hyphen parts two words, which may be the article of a fraction: 'seven-and-a-half'."""
    article = (before.lower(), behind.lower())
    if article[0] == "and" or article[1] in table("numbers")["fractions"]:
        return "a" in article or all(_is_word(text) for text in article)
    return _is_word(before) and _is_word(behind)


def _is_word(text: str) -> bool:
    return len(text) > 1 and text.isalpha()


@cache
def normal_form(phrase: str) -> tuple[str, ...]:
    """Return a vocabulary form as the tokens it is matched by."""
    return tuple(text for word in phrase.split() for text, _ in split_word(word))


def pieces_of(utterance: Utterance) -> tuple[Piece, ...]:
    """Return the pieces of an utterance's words, mishearings put right where the vocabulary says so."""
    always: dict[str, str] = table("mishearings")["always"]
    pieces: list[Piece] = []
    for index, word in enumerate(utterance.words):
        parts = split_word(word.text)
        if len(parts) == 1 and word.text[1:] == "." and pieces and _NUMBER.fullmatch(pieces[-1].text):
            parts = [*parts, (".", ".")]  # '208 V. Comp ...': the stop behind a unit ends the statement
        for place, (text, raw) in enumerate(parts):
            text = always.get(text, text)
            number = Decimal(text.replace(",", "")) if _NUMBER.fullmatch(text) else None
            pieces.append(Piece(text, raw, index, place > 0, number, word.start, word.end, word.confidence))
    return tuple(joined(tuple(_put_right(pieces))))


def _put_right(pieces: Sequence[Piece]) -> Iterable[Piece]:
    """Yield the pieces; a word that was misheard for a number word is put right beside another number word."""
    heard: dict[str, str] = table("mishearings")["number"]
    if not any(piece.text in heard for piece in pieces):
        yield from pieces
        return
    words = number_words()
    for place, piece in enumerate(pieces):
        meant = heard.get(piece.text)
        beside = any(other.text in words or other.number is not None for other in _around(pieces, place))
        if meant and beside:
            yield Piece(meant, piece.raw, piece.word, piece.glued, None, piece.start, piece.end, piece.confidence)
        else:
            yield piece


def _around(pieces: Sequence[Piece], place: int) -> Sequence[Piece]:
    return (*pieces[max(0, place - 1) : place], *pieces[place + 1 : place + 2])


def worth_hearing_again(words: Iterable[Word]) -> bool:
    """Whether a number word is among them that the recogniser was not sure of."""
    known = number_words()
    return any(word.text in known and word.confidence < SURE for word in words)


@cache
def number_words() -> frozenset[str]:
    """Return every word of ``numbers.toml`` that a number can be made of."""
    numbers = table("numbers")
    tables = ("zeros", "digits", "teens", "tens", "scales", "fractions")
    return frozenset(word for name in tables for word in numbers[name]) | frozenset(numbers["points"])
