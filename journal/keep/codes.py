"""Visit codes: short handles that survive being spoken over a telephone and typed in the van.

A code is a letter, four or more symbols, and a check symbol, out of thirteen symbols that neither look nor sound alike:
no 0/O, 1/I/L, 2/Z, 5/S, 8/B; of letters that rhyme one at most (K of A J K, M of M N, X of F S X, none of B C D E G P T
V Z). Thirteen is prime, so the weighted check symbol catches every single wrong symbol and every two neighbours
swapped. A code's first letter is no hexadecimal digit: it is never taken for the beginning of a visit's UUID.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable

SYMBOLS = "234679HKMRWXY"
LETTERS = "HKMRWXY"
SHORTEST = 6
_TRIES_PER_LENGTH = 40


def new_code(taken: Callable[[str], bool]) -> str:
    """Return a random code that is not ``taken``; grows by a symbol when the short ones become scarce."""
    length = SHORTEST
    while True:
        for _ in range(_TRIES_PER_LENGTH):
            body = secrets.choice(LETTERS) + "".join(secrets.choice(SYMBOLS) for _ in range(length - 2))
            code = body + _check_symbol(body)
            if not taken(code):
                return code
        length += 1


def tidy_code(typed: str) -> str:
    """Return what was typed in the form codes are kept in: capitals, without spaces and dashes."""
    return typed.upper().replace("-", "").replace(" ", "")


def looks_like_code(typed: str) -> bool:
    """Return whether this is meant as a code (rather than the beginning of a UUID)."""
    tidy = tidy_code(typed)
    return bool(tidy) and tidy[0] in LETTERS and all(symbol in SYMBOLS for symbol in tidy)


def is_code(typed: str) -> bool:
    """Return whether this is a whole code with the right check symbol."""
    tidy = tidy_code(typed)
    return looks_like_code(tidy) and len(tidy) >= SHORTEST and _check_symbol(tidy[:-1]) == tidy[-1]


def _check_symbol(body: str) -> str:
    """The symbol that makes the weighted sum a multiple of thirteen; weights run 2, 3, 4... and never reach 13."""
    total = sum(_weight(place) * SYMBOLS.index(symbol) for place, symbol in enumerate(body))
    return SYMBOLS[-total % len(SYMBOLS)]


def _weight(place: int) -> int:
    return 2 + place % (len(SYMBOLS) - 2)
