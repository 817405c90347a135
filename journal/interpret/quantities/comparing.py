"""A number set against the next one: what should be, said before what is."""

from __future__ import annotations

from journal.domain.kind import Kind
from journal.domain.reading import Role
from journal.interpret.quantities.surroundings import DIFFERENCES
from journal.interpret.sentence import Sentence


def compared_with_next(sentence: Sentence, place: int) -> bool:
    """'target's nine and i'm at thirteen superheat': what should be and what is are of one unit, said behind."""
    this, after = sentence.stands[place], sentence.stands[place + 1]
    item, following = sentence.items[place], sentence.items[place + 1]
    if item.label != "amount" or following.label != "amount" or this.withheld or after.withheld:
        return False
    if this.role is not Role.EXPECTED or after.role is not Role.MEASURED or sentence.kinds[place] is not None:
        return False
    said = following.value.unit is not None or kind_of(sentence, place + 1) in DIFFERENCES
    return said and sentence.components[place] is None and sentence.components[place + 1] is None


def kind_of(sentence: Sentence, place: int) -> Kind | None:
    bound = sentence.kinds[place]
    return Kind(bound.claim.value) if bound is not None else None
