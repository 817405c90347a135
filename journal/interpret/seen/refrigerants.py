"""Refrigerant names, claimed before numbers; a reading that only sounds like one stays a number.

'four ten a' is R-410A; 'four ten' is only with a word that says so ('on four ten', 'a four ten system'); in front of a
unit it never is.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from journal.interpret.board import Board
from journal.interpret.vocabulary import small_words, table

_WRITTEN = re.compile(r"r-?(\d{2,4})([a-g]|yf|ze)?")


@dataclass(frozen=True, slots=True)
class _Designations:
    """Spoken number -> designations; letter words -> letter; bare numbers that need a word beside them."""

    spoken: dict[tuple[str, ...], dict[str, str]]  # words -> {letter or '': designation}
    letters: dict[str, str]
    bare: dict[tuple[str, ...], str]
    names: dict[tuple[str, ...], str]
    written: dict[str, str]  # '410A', '22' -> designation
    longest: int


@cache
def _designations() -> _Designations:
    data = table("refrigerants")
    spoken: dict[tuple[str, ...], dict[str, str]] = {}
    written: dict[str, str] = {}
    for designation, forms in data["refrigerants"].items():
        number, letter = re.fullmatch(r"R-(\d+)(\w*)", designation).groups()  # type: ignore[union-attr]
        written[number + letter.upper()] = designation
        for form in forms:
            tail = "YF" if form.endswith("y f") else letter.upper()
            spoken.setdefault(tuple(form.removesuffix(" y f").split()), {})[tail] = designation
        spoken.setdefault((number,), {})[letter.upper()] = designation
    letters = {form: letter for letter, forms in data["letters"].items() for form in forms}
    bare = {tuple(form.split()): designation for form, designation in data["bare"].items()}
    bare |= {(designation[2:].rstrip("ABCDFabcdf"),): designation for designation in data["bare"].values()}
    names = {tuple(form.split()): name for name, forms in data["names"].items() for form in forms}
    return _Designations(spoken, letters, bare, names, written, max(len(words) for words in spoken))


def claim_refrigerants(board: Board) -> None:
    """Claim every refrigerant named in the sentence."""
    at = 0
    while at < len(board.pieces):
        at = _claim_at(board, at) or at + 1


def _claim_at(board: Board, at: int) -> int | None:
    d = _designations()
    if board.owner[at] is not None:
        return None
    if written := _WRITTEN.fullmatch(board.word(at)):
        known = d.written.get(written[1] + (written[2] or "").upper()) or d.bare.get((written[1],))
        if known:
            board.claim("refrigerant", at, at, known, "designation as written")
            return at + 1
    for length in (3, 2, 1):
        name = d.names.get(tuple(board.word(place) for place in range(at, at + length)))
        if name and board.free(at, min(at + length, len(board.pieces)) - 1):
            board.claim("refrigerant", at, at + length - 1, name, "name")
            return at + length
    for length in range(min(d.longest, len(board.pieces) - at), 0, -1):
        words = tuple(board.word(place) for place in range(at, at + length))
        known_letters = d.spoken.get(words)
        if known_letters is None or not board.free(at, at + length - 1):
            continue
        found = _with_letter(board, at, length, known_letters) or _bare(board, at, length, words, known_letters)
        if found:
            designation, last, rule = found
            first = at - 1 if at and board.word(at - 1) in small_words("r") and board.owner[at - 1] is None else at
            board.claim("refrigerant", first, last, designation, rule)
            return last + 1
    return None


def _with_letter(board: Board, at: int, length: int, known: dict[str, str]) -> tuple[str, int, str] | None:
    """The number with its letter: 'four ten a', 'four oh four alpha', '410A'."""
    letter = _designations().letters.get(board.word(at + length))
    if letter is None or letter not in known or not board.free(at + length, at + length):
        if "YF" in known and board.text(at + length, at + length + 1) == "y f":
            return known["YF"], at + length + 1, "number and letters"
        return None
    behind = board.word(at + length + 1)
    article = letter == "A" and board.word(at + length) == "a"
    if article and (behind in small_words("no_letter_a")):
        return None
    if _before_says_reading(board, at) and not _before_says_name(board, at, strong=True):
        return None
    return known[letter], at + length, "number and letter"


def _bare(
    board: Board, at: int, length: int, words: tuple[str, ...], known: dict[str, str]
) -> tuple[str, int, str] | None:
    """The number without a letter: only with a word beside it that makes it a refrigerant, never before a unit."""
    designation = _designations().bare.get(words) or known.get("")
    if designation is None or _unit_behind(board, at + length):
        return None
    strong = _before_says_name(board, at, strong=True) and board.word(at - 1) not in small_words("no_r")
    after = _after_says_name(board, at + length)
    if strong or after:
        return designation, at + length - 1, "number beside a refrigerant word"
    if board.word(at - 1) == "it's" and _is_told_of(board, at):
        return None
    if _before_says_name(board, at, strong=False) and not _number_goes_on(board, at + length) and len(words) > 1:
        return designation, at + length - 1, "number behind 'on', 'of', 'uses'"
    if _mass_behind(board, at + length) and _of_a_charge(board, at):
        return designation, at + length - 1, "number before the mass of a charge"
    if _joined_to_refrigerant(board, at) and not _number_goes_on(board, at + length):
        return designation, at + length - 1, "named with another refrigerant"
    return None


def _is_told_of(board: Board, at: int) -> bool:
    """'superheat at the bulb is seven, at the compressor it's twenty two', 'head should be two fifty and it's two
    ninety': 'it' is a quantity told before."""
    return any(hit.last < at for context in ("kinds", "roles") for hit in board.hits.get(context, ()))


def _mass_behind(board: Board, at: int) -> bool:
    """'five oh seven four pounds even': another number follows, and it is the one that has the unit."""
    behind = at
    while _number_goes_on(board, behind):
        behind += 1
    return behind > at and board.word(behind) in small_words("masses")


def _of_a_charge(board: Board, at: int) -> bool:
    """A plate or another refrigerant was named before: then the number is what the machine holds."""
    plates = set(table("roles")["nameplate"]["nouns"])
    named = any(claim.last < at for claim in board.labelled("refrigerant"))
    return named or any(board.word(place) in plates for place in range(max(0, at - 5), at))


def _unit_behind(board: Board, at: int) -> bool:
    return board.starts("units", at) is not None or board.word(at) in small_words("behind_a_value")


def _number_goes_on(board: Board, at: int) -> bool:
    from journal.interpret.numbers.runs import is_number_word

    return at < len(board.pieces) and is_number_word(board.pieces[at])


def _before_says_name(board: Board, at: int, *, strong: bool) -> bool:
    data = table("refrigerants")
    phrases = data["before"] if strong else data["before_weak"]
    for phrase in phrases:
        words = phrase.split()
        if at >= len(words) and [board.word(place) for place in range(at - len(words), at)] == words:
            return True
    return False


def _after_says_name(board: Board, at: int) -> bool:
    """'four ten system'; a place such as 'box' counts only with an article in front ('a four oh four box')."""
    return board.word(at) in table("refrigerants")["system_after"]


def _before_says_reading(board: Board, at: int) -> bool:
    return board.word(at - 1) in small_words("no_refrigerant") and at > 0


def _joined_to_refrigerant(board: Board, at: int) -> bool:
    """'four oh four i mean four forty eight', 'four oh four and four forty eight'."""
    before = [claim for claim in board.claims if claim.label == "refrigerant" and claim.last < at]
    if not before:
        return False
    between = range(before[-1].last + 1, at)
    owners = [board.owner[place] for place in between]
    return len(between) <= 4 and all(
        (owner is not None and owner.label == "correction") or board.word(place) in small_words("refrigerant_joins")
        for place, owner in zip(between, owners, strict=True)
    )
