"""Named facts of the record that are spoken: work order, arrival, who was told, how it was left, site and customer.

Claimed before numbers and plates are read, so that the digits of a work order never become a reading and the serial of
the part that came out never becomes the machine's.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from typing import Any

from journal.domain.ids import new_id
from journal.domain.reading import Doubt
from journal.domain.visit import Field
from journal.interpret.board import Board, Hit
from journal.interpret.document import LOW_CONFIDENCE
from journal.interpret.evidence import words_from
from journal.interpret.idle.clock import clock_at
from journal.interpret.numbers.hints import reader_for
from journal.interpret.numbers.runs import groupings
from journal.interpret.seen.known import Choice, choose
from journal.interpret.seen.plates import spelled
from journal.interpret.vocabulary import small_words, table

LEAST_SIGNS = 3  # of a number that is spelled
MOST_NUMBER = 8  # words between a fact's name and its unit


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact as it was said; ``doubt`` is why somebody should look at it."""

    name: str
    value: str
    doubt: Doubt | None = None
    chosen: bool = False


def claim_facts(board: Board) -> None:
    """Claim the phrases that name a fact, with the value behind them; phrases that are the fact are only marked."""
    for hit in board.found("facts said"):
        name, _, value = hit.name.partition(": ")
        board.mark("fact", hit.first, hit.last, Fact(name, value, _unsure(board, hit.first, hit.last)), "said as such")
    for hit in board.found("facts", "facts asked"):
        found = _read(board, hit)
        if found is None and "or" in _body(hit):
            found = _read(board, replace(hit, name=_body(hit)["or"]))
        if found is None:
            continue
        fact, last = found
        if _body(hit)["value"] == "words" and not _body(hit).get("takes"):
            board.mark("fact", hit.first, last, fact, f"fact: {fact.name}")  # other steps read these words too
        elif board.free(hit.first, last):
            board.claim("fact", hit.first, last, fact, f"fact: {fact.name}")


def _read(board: Board, hit: Hit) -> tuple[Fact, int] | None:
    """Return the fact behind a phrase, and the last token of it."""
    return _READERS[_body(hit)["value"]](board, hit)


def fields_of(board: Board, machine: str | None) -> Iterator[Field]:
    """Yield the facts of an utterance as they stand in a visit."""
    for claim in board.labelled("fact"):
        fact: Fact = claim.value
        yield Field(
            name=fact.name,
            value=fact.value,
            source="chosen" if fact.chosen else "said",
            equipment=machine if table("facts")["fact"][fact.name].get("machine") else None,
            doubts=() if fact.doubt is None else (fact.doubt,),
            evidence=words_from(board, claim.first, claim.last),
            id=new_id(),
        )


def merged(before: tuple[Field, ...], new: Iterator[Field]) -> tuple[Field, ...]:
    """Return the facts of a visit with those of one more utterance: the last mention holds, where one can."""
    facts = list(before)
    for fact in new:
        if not table("facts")["fact"][fact.name].get("several"):
            facts = [old for old in facts if (old.name, old.equipment) != (fact.name, fact.equipment)]
        facts.append(fact)
    return tuple(facts)


def _body(hit: Hit) -> dict[str, Any]:
    body: dict[str, Any] = table("facts")["fact"][hit.name]
    return body


def _typed(board: Board) -> bool:
    return board.utterance.heard_by == "typed"


def _unsure(board: Board, first: int, last: int) -> Doubt | None:
    if min(piece.confidence for piece in board.pieces[first : last + 1]) < LOW_CONFIDENCE:
        return Doubt("low confidence", "The recogniser was not sure of these words.")
    return None


def _signs(board: Board, hit: Hit) -> tuple[Fact, int] | None:
    text, last = spelled(board, hit.last + 1)
    if len(text) < LEAST_SIGNS or not any(sign.isdigit() for sign in text):
        return None
    why = Doubt("spelled", f"The {hit.name} was spelled aloud; compare it with the paper.")
    return Fact(hit.name, text, None if _typed(board) else why), last


def _words(board: Board, hit: Hit, ends: Collection[str] | None = None) -> tuple[Fact, int] | None:
    data, first, last = table("facts"), hit.last + 1, hit.last
    while last + 1 < len(board.pieces) and last - hit.last < data["longest"]:
        word = board.word(last + 1)
        if (
            (last >= first and word in (ends or data["ends"]))
            or _next_fact(board, last + 1)
            or board.owner[last + 1] is not None
        ):
            break
        last += 1
    if last < first:
        return None
    first -= board.word(hit.last) in data["titles"]
    said = words_from(board, first, last).said.strip(" .,;")
    why = Doubt("heard", f"'{said}' was heard, not typed; check how it is written.")
    return Fact(hit.name, said, None if _typed(board) else why), last


def _next_fact(board: Board, at: int) -> bool:
    return any(board.starts(context, at) for context in ("facts", "facts said"))


def _clock(board: Board, hit: Hit) -> tuple[Fact, int] | None:
    found = clock_at(board, hit.last + 1)
    if found is None:
        return None
    text, last = found
    return Fact(hit.name, text, _unsure(board, hit.first, last)), last


def _amount(board: Board, hit: Hit) -> tuple[Fact, int] | None:
    """A number and the unit behind it; several ('thirty five minutes, twenty two miles') become one value."""
    units = _body(hit)["units"]
    parts: list[str] = []
    doubt, at, last = None, hit.last + 1, hit.last
    while (unit := _unit_at(board, at, units)) is not None:
        if board.pieces[unit - 1].number is not None and unit - at == 1:
            text = board.pieces[at].raw
        else:
            ways = groupings(reader_for(board, None), at, unit)
            if not ways:
                break
            value = ways[0].numbers[-1].value
            text = f"{value.normalize():f}"
            if len(ways[0].numbers) > 1 or ways[0].left_over:
                doubt = Doubt("grouping", f"'{board.text(at, unit)}' may be another number.")
        parts.append(f"{text} {units[board.word(unit)]}")
        last, at = unit, unit + 1
        at += board.word(at) in small_words("compound_joins")
    if not parts:
        return None
    return Fact(hit.name, ", ".join(parts), doubt or _unsure(board, hit.first, last)), last


def _unit_at(board: Board, at: int, units: dict[str, str]) -> int | None:
    for place in range(at, min(at + MOST_NUMBER, len(board.pieces))):
        if board.word(place) in units:
            return place if place > at else None
    return None


def _named(board: Board, hit: Hit) -> tuple[Fact, int] | None:
    """A known site or customer; what is only like one is kept with a doubt that names it."""
    known = board.hints.known if board.hints is not None else None
    names = (known.sites if hit.name == "site" else known.customers) if known is not None else ()
    first = hit.last + 1
    words: list[str] = []
    for piece in board.pieces[first:]:
        if piece.text in small_words("sentence_ends") or board.owner[first + len(words)] is not None:
            break
        words.append(piece.text)
    choice = choose(words, names)
    last = first + choice.length - 1 if choice else -1
    if hit.context == "facts asked" and (choice is None or not _job(board, last)):
        return None
    if choice is not None:
        return _chosen(board, hit, choice), last
    named = board.text(hit.first, hit.last) in [" ".join(form.split()) for form in _body(hit).get("named", ())]
    if not named:
        return None
    found = _words(board, hit, small_words("name_ends"))
    if found is None:
        return None
    fact, last = found
    return Fact(hit.name, fact.value, Doubt("unknown name", f"No {hit.name} called '{fact.value}' is known yet.")), last


def _job(board: Board, last: int) -> bool:
    return board.word(last + 1) in table("facts")["jobs"]


def _chosen(board: Board, hit: Hit, choice: Choice) -> Fact:
    first = hit.last + 1
    said = board.text(first, first + choice.length - 1)
    if choice.sure:
        return Fact(hit.name, choice.names[0], _unsure(board, first, first + choice.length - 1), chosen=True)
    nearest = " or ".join(choice.names)
    why = Doubt("like a known name", f"'{said}' was heard; the nearest known {hit.name} is {nearest}.")
    return Fact(hit.name, choice.names[0], why)


_READERS = {"signs": _signs, "words": _words, "clock": _clock, "amount": _amount, "name": _named}
