"""The board on which the steps claim words: a word belongs to the step that took it first.

Steps run in a fixed order (``journal.interpret.steps``); each looks at the phrases found in the sentence and
claims spans
of tokens.  What was claimed stays claimed: 'l one to l two two forty one' gives its points away before any number is
looked for, so that 'two two forty one' cannot swallow the 2.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache
from typing import TYPE_CHECKING, Any

from journal.domain.speech import Utterance
from journal.interpret.document import Piece, normal_form
from journal.interpret.tagger.tags import Tags, tags_of
from journal.interpret.vocabulary import entries

if TYPE_CHECKING:
    from spacy.matcher import PhraseMatcher
    from spacy.tokens import Doc
    from spacy.vocab import Vocab


@dataclass(frozen=True, slots=True)
class Hit:
    """A phrase of the vocabulary found at tokens ``first`` to ``last`` (inclusive)."""

    context: str
    name: str
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class Claim:
    """Tokens ``first`` to ``last`` taken by a step: what they are, what they mean, by which rule."""

    label: str
    first: int
    last: int
    value: Any
    rule: str


@dataclass(slots=True)
class Board:
    """One utterance: its pieces, the phrases found in it, the claims made so far."""

    utterance: Utterance
    pieces: tuple[Piece, ...]
    hits: dict[str, list[Hit]]
    hints: Any = None
    claims: list[Claim] = field(default_factory=list)
    owner: list[Claim | None] = field(default_factory=list)
    asked: Tags | None = None

    def __post_init__(self) -> None:
        self.owner = [None] * len(self.pieces)

    @property
    def tags(self) -> Tags:
        """What the tagger makes of the words, asked when somebody wants to know."""
        if self.asked is None:
            earlier = self.hints.earlier if self.hints is not None else ()
            self.asked = tags_of([piece.text for piece in self.pieces], earlier)
        return self.asked

    def text(self, first: int, last: int) -> str:
        return " ".join(piece.text for piece in self.pieces[first : last + 1])

    def word(self, place: int) -> str:
        """The token at a place; nothing outside the sentence."""
        return self.pieces[place].text if 0 <= place < len(self.pieces) else ""

    def free(self, first: int, last: int) -> bool:
        return all(owner is None for owner in self.owner[first : last + 1])

    def claim(self, label: str, first: int, last: int, value: Any, rule: str) -> Claim:
        """Take tokens for a meaning; they must be free."""
        claim = Claim(label, first, last, value, rule)
        for place in range(first, last + 1):
            if self.owner[place] is not None:
                raise ValueError(f"{self.text(first, last)!r} is claimed already")
            self.owner[place] = claim
        self.claims.append(claim)
        return claim

    def mark(self, label: str, first: int, last: int, value: Any, rule: str) -> Claim:
        """Note a meaning without taking the words from other steps."""
        claim = Claim(label, first, last, value, rule)
        self.claims.append(claim)
        return claim

    def release(self, claim: Claim) -> None:
        """Give a claim's tokens back."""
        self.claims.remove(claim)
        for place in range(claim.first, claim.last + 1):
            self.owner[place] = None

    def found(self, *contexts: str, free: bool = True) -> list[Hit]:
        """Return the hits of some contexts, leftmost and longest first, none overlapping."""
        hits = [
            hit
            for context in contexts
            for hit in self.hits.get(context, ())
            if not free or self.free(hit.first, hit.last)
        ]
        hits.sort(key=lambda hit: (hit.first - hit.last, hit.first))
        chosen: list[Hit] = []
        used: set[int] = set()
        for hit in hits:
            span = range(hit.first, hit.last + 1)
            if used.isdisjoint(span):
                used.update(span)
                chosen.append(hit)
        return sorted(chosen, key=lambda hit: hit.first)

    def starts(self, context: str, place: int) -> Hit | None:
        """Return the longest hit of a context that starts at a place."""
        hits = [hit for hit in self.hits.get(context, ()) if hit.first == place]
        return max(hits, key=lambda hit: hit.last, default=None)

    def ends(self, context: str, place: int) -> Hit | None:
        """Return the longest hit of a context that ends at a place."""
        hits = [hit for hit in self.hits.get(context, ()) if hit.last == place]
        return min(hits, key=lambda hit: hit.first, default=None)

    def has(self, context: str, first: int = 0, last: int = 10**6) -> bool:
        return any(hit.first >= first and hit.last <= last for hit in self.hits.get(context, ()))

    def labelled(self, *labels: str) -> Iterator[Claim]:
        """Yield the claims of some labels in the order of the sentence."""
        yield from sorted((claim for claim in self.claims if claim.label in labels), key=lambda claim: claim.first)


@cache
def _phrases(vocab: Vocab) -> PhraseMatcher:
    from spacy.matcher import PhraseMatcher
    from spacy.tokens import Doc

    matcher = PhraseMatcher(vocab)
    patterns: dict[str, list[Doc]] = {}
    for entry in entries():
        patterns.setdefault(f"{entry.context}\t{entry.name}", []).append(
            Doc(vocab, words=list(normal_form(entry.form)))
        )
    for key, docs in patterns.items():
        matcher.add(key, docs)
    return matcher


def find_phrases(doc: Doc) -> dict[str, list[Hit]]:
    """Return every phrase of the vocabulary in a sentence, by context."""
    hits: dict[str, list[Hit]] = {}
    strings = doc.vocab.strings
    for key, first, behind in _phrases(doc.vocab)(doc):
        context, name = strings[key].split("\t")
        hits.setdefault(context, []).append(Hit(context, name, first, behind - 1))
    return hits


def spans_of(hits: Iterable[Hit]) -> set[int]:
    """Return the tokens that some hits cover."""
    return {place for hit in hits for place in range(hit.first, hit.last + 1)}
