"""Digits as a technician would say them, since the tagger learned from speech: '241' is 'two forty one'."""

from __future__ import annotations

import re
from functools import cache

from journal.interpret.vocabulary import table

_DIGITS = re.compile(r"(\d{1,3}(?:,\d{3})+|\d*)(?:\.(\d+))?")


@cache
def _words() -> dict[int, str]:
    """The word of each number that has one of its own; of several ('nine', 'niner') the first."""
    numbers, found = table("numbers"), dict[int, str]()
    for name in ("zeros", "digits", "teens", "tens"):
        for word, value in numbers[name].items():
            found.setdefault(value, word)
    return found


def as_said(word: str) -> list[str]:
    """Return a written number as spoken words; any other word as it is."""
    found = _DIGITS.fullmatch(word)
    if found is None or not (found[1] or found[2]):
        return [word]
    whole = _whole(found[1].replace(",", "")) if found[1].strip("0") or not found[2] else []
    return [*whole, "point", *(_words()[int(digit)] for digit in found[2])] if found[2] else whole


def _whole(digits: str) -> list[str]:
    if len(digits) > 4 or (len(digits) > 1 and digits[0] == "0"):
        return [_words()[int(digit)] for digit in digits]
    words, number = _words(), int(digits)
    if number in words:
        return [words[number]]
    if number < 100:
        return [words[number // 10 * 10], words[number % 10]]
    head, rest = _whole(digits[:-2]), int(digits[-2:])
    if number % 1000 == 0:
        return [words[number // 1000], "thousand"]
    if not rest:
        return [*head, "hundred"]
    return [*head, "oh", words[rest]] if rest < 10 else [*head, *_whole(digits[-2:])]
