"""A spoken name chosen from the names that are known; what only resembles one is a suggestion, never a choice."""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass

from journal.interpret.vocabulary import table

ALIKE = 0.8  # how much of a name has to be heard right to be suggested; our own choice
LEAST = 4  # letters of a name that is looked for by likeness
_PARTS = re.compile(r"\d+|[^\W\d_]+")


@dataclass(frozen=True, slots=True)
class Choice:
    """What a spoken name may be: one known name when ``sure``; else the nearest ones; ``length`` is in words."""

    names: tuple[str, ...]
    sure: bool
    length: int


def choose(words: Sequence[str], known: Sequence[str]) -> Choice | None:
    """Return what the words begin with: a known name word for word, or the nearest names; ``None`` for neither.

    'store one twelve' is 'Store 112', 'quillwort bakery' is 'Quillwort Bakery, Inc.'; 'quillward bakery' is
    only like it.  Two names that read the same are both offered.
    """
    plain: dict[str, list[str]] = {}
    for name in known:
        plain.setdefault(normal(_PARTS.findall(name.lower().replace("'", ""))), []).append(name)
    plain.pop("", None)
    spans = [(length, normal(words[:length])) for length in range(min(len(words), table("facts")["longest"]), 0, -1)]
    for length, said in spans:
        if said in plain:
            names = tuple(plain[said])
            return Choice(names, len(names) == 1, length)
    best: tuple[float, int, str] | None = None
    for length, said in spans:
        if len(said) < LEAST:
            continue
        for like in difflib.get_close_matches(said, plain, 1, ALIKE):
            found = (difflib.SequenceMatcher(None, said, like).ratio(), length, like)
            best = max(best, found) if best else found
    if best is not None:
        return Choice(tuple(plain[best[2]]), False, best[1])
    return _begun(spans, plain)


def _begun(spans: Sequence[tuple[int, str]], plain: dict[str, list[str]]) -> Choice | None:
    """'quillwort' for 'Quillwort Bakery', when only a few names begin like that."""
    for length, said in spans:
        found = [name for key, names in plain.items() if key.startswith(said) for name in names]
        if len(said) > LEAST and 0 < len(found) <= 3:
            return Choice(tuple(found), False, length)
    return None


def normal(words: Sequence[str]) -> str:
    """Return a name as it is compared: without blanks, marks and words like 'the', numbers in digits."""
    numbers = table("numbers")
    ignored = table("facts")["ignored"]
    text, tens = "", 0
    for word in words:
        if tens and word in numbers["digits"]:
            text, tens = text + str(tens + numbers["digits"][word]), 0
            continue
        text, tens = text + (str(tens) if tens else ""), 0
        if word in numbers["tens"]:
            tens = numbers["tens"][word]
        elif word in numbers["teens"] or word in numbers["digits"] or word in numbers["zeros"]:
            text += str({**numbers["teens"], **numbers["digits"], **numbers["zeros"]}[word])
        elif word not in ignored:
            text += "".join(sign for sign in word if sign.isalnum())
    return text + (str(tens) if tens else "")
