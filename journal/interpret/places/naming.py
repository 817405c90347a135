"""What a part is called by its circumstances: 'heaters' in defrost are defrost heaters, a coil with volts is a
contactor's."""

from __future__ import annotations

from collections.abc import Iterable

from journal.domain.kind import Kind
from journal.interpret.context import Context
from journal.interpret.vocabulary import table

KINDS = frozenset(kind.value for kind in Kind)


def part_meant(name: str, words: Iterable[str], context: Context, kind: Kind | None = None) -> str:
    """Return the part that a name means beside these words, for a reading of this kind, in the defrost spoken of."""
    beside = set(words)
    body = table("components")[name]
    becomes: dict[str, str] = body.get("becomes", {})
    for word, other in becomes.items():
        if word in beside or word == context.circumstance_now() or (kind is not None and word == kind.value):
            return other
    near: dict[str, str] = body.get("near", {})
    return next((near[other] for other in context.spoken_lately() if other in near), name)


def part_named(name: str, words: Iterable[str], context: Context) -> str:
    """The same for a part that is only named so far: words for a kind of reading ('current') say nothing of it yet."""
    return part_meant(name, set(words) - KINDS, context)
