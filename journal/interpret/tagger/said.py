"""Digits as a technician would say them, since the tagger learned from speech: '241' is 'two forty one'."""

from __future__ import annotations

import re

ONES = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
TEENS = ["ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"]
TENS = ["-", "-", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_DIGITS = re.compile(r"(\d{1,3}(?:,\d{3})+|\d*)(?:\.(\d+))?")


def as_said(word: str) -> list[str]:
    """Return a written number as spoken words; any other word as it is."""
    found = _DIGITS.fullmatch(word)
    if found is None or not (found[1] or found[2]):
        return [word]
    whole = _whole(found[1].replace(",", "")) if found[1].strip("0") or not found[2] else []
    return [*whole, "point", *(ONES[int(digit)] for digit in found[2])] if found[2] else whole


def _whole(digits: str) -> list[str]:
    if len(digits) > 4 or (len(digits) > 1 and digits[0] == "0"):
        return [ONES[int(digit)] for digit in digits]
    number = int(digits)
    if number < 10:
        return [ONES[number]]
    if number < 20:
        return [TEENS[number - 10]]
    if number < 100:
        return [TENS[number // 10], *([ONES[number % 10]] if number % 10 else [])]
    head, rest = _whole(digits[:-2]), int(digits[-2:])
    if number % 1000 == 0:
        return [ONES[number // 1000], "thousand"]
    if not rest:
        return [*head, "hundred"]
    return [*head, "oh", ONES[rest]] if rest < 10 else [*head, *_whole(digits[-2:])]
