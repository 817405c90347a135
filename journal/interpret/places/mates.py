"""Numbers that share a unit: those of one list, those compared, the one that corrects or follows another."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from journal.domain.kind import Kind
from journal.domain.reading import Role
from journal.interpret.quantities.comparing import compared_with_next, kind_of
from journal.interpret.quantities.quantities import quantity_of
from journal.interpret.quantities.surroundings import Surroundings
from journal.interpret.sentence import Sentence
from journal.interpret.vocabulary import small_words


def mates_of(sentence: Sentence, place: int, around: Surroundings) -> Iterator[tuple[str, Kind]]:
    """Yield unit and kind of the list's members whose unit was said, the later ones first."""
    own = sentence.lists[place]
    ordered = [n for n in range(place + 1, len(sentence.items)) if sentence.lists[n] == own]
    ordered += [n for n in range(place - 1, -1, -1) if sentence.lists[n] == own]
    for n in ordered:
        item = sentence.items[n]
        if item.label == "amount" and item.value.unit is not None and n not in sentence.parts:
            found = quantity_of(item.value, replace(around, mates=()))
            if found is not None:
                yield found.unit, found.kind
    if place + 1 < len(sentence.items) and compared_with_next(sentence, place):
        following = sentence.items[place + 1]
        found = quantity_of(following.value, replace(around, kind=kind_of(sentence, place + 1), mates=()))
        if found is not None:
            yield found.unit, found.kind
    if place + 1 < len(sentence.items) and (
        _corrected_by_next(sentence, place) or _moves_to_next(sentence, place) or _set_anew(sentence, place)
    ):
        following = sentence.items[place + 1]
        if following.label == "amount" and following.value.unit is not None:
            found = quantity_of(following.value, replace(around, mates=()))
            if found is not None:
                yield found.unit, found.kind
        else:
            yield from mates_of(sentence, place + 1, around)
    for n in range(place + 1, len(sentence.items)):
        item = sentence.items[n]
        if item.label != "amount":
            return
        if item.value.unit is not None:
            if (
                sentence.points[place] is not None
                and sentence.points[n] is not None
                and sentence.components[n] in (None, sentence.components[place])
            ):
                found = quantity_of(item.value, replace(around, mates=()))
                if found is not None:
                    yield found.unit, found.kind
            return


def _corrected_by_next(sentence: Sentence, place: int) -> bool:
    """'seven point five i mean five point seven amps': the unit behind the correction was meant for both."""
    item, following = sentence.items[place], sentence.items[place + 1]
    return any(
        claim.first == item.last + 1 and claim.last < following.first for claim in sentence.board.labelled("correction")
    )


def _moves_to_next(sentence: Sentence, place: int) -> bool:
    """'from three to ten psi'."""
    item, following = sentence.items[place], sentence.items[place + 1]
    return (
        sentence.board.text(item.last + 1, following.first - 1) in small_words("to_the_next")
        and following.first - item.last <= 3
    )


def _set_anew(sentence: Sentence, place: int) -> bool:
    """'fail safe was at thirty and i bumped it up to forty minutes': one setting before and after it was moved."""
    stands, following = sentence.stands[place : place + 2], sentence.items[place + 1]
    if any(stand.role is not Role.SETTING for stand in stands) or sentence.components[place + 1] is not None:
        return False
    made = sentence.board.hits.get("settings made", ())
    between = range(sentence.items[place].last + 1, following.first)
    return any(hit.first in between and hit.last == following.first - 1 for hit in made)
