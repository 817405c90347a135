"""One number with everything that tells what it belongs to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from journal.domain.kind import Kind
from journal.domain.reading import Role
from journal.interpret.board import Board, Hit
from journal.interpret.numbers.amounts import Amount
from journal.interpret.numbers.markings import Part
from journal.interpret.quantities.surroundings import Quantity, Surroundings
from journal.interpret.quantities.topics import topic_hit
from journal.interpret.sentence import Sentence
from journal.interpret.vocabulary import table

NO_PART = ""  # said by a rule: the number belongs to no part, whatever was named


@dataclass(frozen=True, slots=True)
class Case:
    """What the rules of belonging look at."""

    sentence: Sentence
    place: int
    around: Surroundings
    part: Part | None
    quantity: Quantity

    @property
    def board(self) -> Board:
        return self.sentence.board

    @property
    def amount(self) -> Amount:
        amount: Amount = self.sentence.items[self.place].value
        return amount

    @property
    def name(self) -> str | None:
        """The part named with it or carried over."""
        return self.around.component

    @property
    def body(self) -> dict[str, Any]:
        """What the vocabulary says of that part."""
        body: dict[str, Any] = table("components")[self.name] if self.name is not None else {}
        return body

    @property
    def kind(self) -> Kind:
        return self.quantity.kind

    @property
    def role(self) -> Role:
        return self.sentence.stands[self.place].role

    @property
    def carried(self) -> bool:
        return self.around.component_how == "carried"

    @property
    def named(self) -> bool:
        """Whether a part of this sentence is tied to the number."""
        return self.sentence.components[self.place] is not None

    @property
    def since(self) -> int:
        """The first token behind the number before."""
        return self.sentence.items[self.place - 1].last + 1 if self.place else 0

    def topic(self) -> Hit | None:
        return topic_hit(self.sentence, self.place)

    def topic_between(self) -> Hit | None:
        """A word that tells the quantity, said since the number before."""
        hit = self.topic()
        return hit if hit is not None and self.since <= hit.first < self.amount.first else None
