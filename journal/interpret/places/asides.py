"""Parts that are only mentioned: they say where or how another one was measured, or what it feels like."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from journal.interpret.board import Board, Claim
from journal.interpret.numbers.runs import is_number_word
from journal.interpret.places.behind import led_to
from journal.interpret.vocabulary import small_words, table

MOST_ALONG = 6  # words between a line and the part from which a place on it is told


def only_where(board: Board, claim: Claim, earlier: Sequence[Claim]) -> bool:
    """Return whether a part is only mentioned: 'suction line ... at the compressor fifty two'."""
    return (
        _only_tells_how(board, claim)
        or _put_so(board, claim, earlier)
        or _was_there(board, claim)
        or _likened_to(board, claim)
        or _same_wire(board, claim)
        or _of_a_meter(board, claim)
        or _along_a_line(board, claim, earlier)
        or _at_another(board, claim, earlier)
    )


def _at_another(board: Board, claim: Claim, earlier: Sequence[Claim]) -> bool:
    """'superheat at the compressor', 'box ... at the coil': the place named first is meant."""
    led = board.word(claim.first - 1) == "at" or (
        board.word(claim.first - 1) == "the" and board.word(claim.first - 2) == "at"
    )
    if not led:
        return False
    data: dict[str, Any] = table("components")
    amounts = list(board.labelled("amount"))
    # in 'thirty eight in the box and forty two at the coil' the box is of its own number
    earlier = [c for c in earlier if not any(a.last < c.first and led_to(board, a, c) for a in amounts)]
    return any(
        (c.label == "component" and data[c.value].get("first") and c.last < claim.first)
        or (c.label == "kind" and c.value in ("superheat", "subcooling") and c.last < claim.first)
        for c in earlier
    )


def _along_a_line(board: Board, claim: Claim, earlier: Sequence[Claim]) -> bool:
    """'discharge line a hand's width off the compressor', 'liquid line leaving the condenser': where along it."""
    lines = [c for c in earlier if c.label == "component" and c.last < claim.first]
    if not lines or not table("components")[lines[-1].value].get("first"):
        return False
    at = claim.first - 1
    at -= board.word(at) in small_words("component_articles")
    at -= board.word(at) == "of" and board.word(at - 1) in small_words("along_of")
    if at <= lines[-1].last or board.word(at) not in small_words("along") or at - lines[-1].last > MOST_ALONG:
        return False
    clauses = table("clauses")
    parting = {*clauses["parts_statements"], *clauses["subjects"], *table("unsaid")["verbs"]["forms"]} - {"at"}
    between = range(lines[-1].last + 1, at + 1)
    where = next((here for here in between if board.word(here) == "where"), None)
    if where is not None:
        between = range(lines[-1].last + 1, where)  # 'right where it comes into the compressor'
    return all(
        (board.word(here) not in parting or board.word(here + 1) in small_words("spans"))
        and _tells_nothing(board, here)
        for here in between
    )


def _tells_nothing(board: Board, at: int) -> bool:
    """Free, or a distance: no value stands there."""
    owner = board.owner[at]
    return owner is None or owner.label in ("no reading", "idiom", "equipment")


def _likened_to(board: Board, claim: Claim) -> bool:
    """'feels like bath water', 'cold as a box': what something is like, unless a verb follows ('looks like the
    compressor's pulling ten')."""
    at = claim.first - 1
    at -= board.owner[at] is None and board.word(at) in small_words("kinds_of_likeness")
    if board.word(at) not in small_words("likeness") or board.word(at - 1) in small_words("no_likeness"):
        return False
    behind = board.word(claim.last + 1)
    return behind not in {*table("unsaid")["verbs"]["forms"]} - {"at"}


def _same_wire(board: Board, claim: Claim) -> bool:
    """'same clamp same wire', 'i was on the wrong lead': how the part spoken of was measured."""
    weak = table("components")[claim.value]
    return bool(weak.get("weak") and weak.get("generic")) and board.word(claim.first - 1) in small_words("which_wire")


def _of_a_meter(board: Board, claim: Claim) -> bool:
    """'open on every scale', 'the ten scale', 'by my thermometer': what the speaker holds in the hand."""
    last, before = board.word(claim.last), board.word(claim.first - 1)
    if last == "scale":
        named = claim.first and (is_number_word(board.pieces[claim.first - 1]) or board.ends("units", claim.first - 1))
        return bool(named) or before in small_words("scales")
    behind = claim.last + 2 + (board.word(claim.last + 2) in small_words("component_articles"))
    owner = board.owner[behind] if behind < len(board.pieces) else None
    if last == "thermometer" and owner is not None and owner.label == "component":
        return board.word(claim.last + 1) in small_words("component_ties")  # 'thermometer in the product'
    own = before in table("unsaid")["possessives"] and board.word(claim.first - 2) in small_words("by_meter")
    return last == "thermometer" and own


def _was_there(board: Board, claim: Claim) -> bool:
    """'scratch that the clamp was on both wires': where the number before went wrong, no place of the one behind."""
    taken_back = [c for c in board.labelled("correction") if c.last < claim.first]
    if not taken_back or any(
        taken_back[-1].last < c.first < claim.first for c in board.labelled("amount", "component")
    ):
        return False
    at = claim.first - 1
    while at > taken_back[-1].last and (
        board.word(at) in small_words("determiners") or (board.owner[at] is not None and at > 0)
    ):
        at -= 1
    weak = bool(table("components")[claim.value].get("weak"))
    return weak and board.word(at) in small_words("place_ties") and board.word(at - 1) in table("clauses")["past_verbs"]


def _put_so(board: Board, claim: Claim, earlier: Sequence[Claim]) -> bool:
    """'compressor ... with the wires off three ohms', '... with the contactor in': how another part was measured."""
    at = claim.first - 1
    at -= board.word(at) in small_words("determiners") | small_words("both_or_all")
    others = any(c.label == "component" and c.last < at and c.value != claim.value for c in earlier)
    wire = bool(table("components")[claim.value].get("weak"))
    others = others or _another_tells(board, claim)
    return (others or wire) and board.word(at) == "with" and board.word(claim.last + 1) in small_words("put_so")


def _another_tells(board: Board, claim: Claim) -> bool:
    """'with the contactor in i've got two thirty eight at the compressor': the number behind has a place of its own."""
    if board.word(claim.last + 2) not in {*small_words("speaker_has"), *table("clauses")["subjects"]}:
        return False
    amounts = [amount for amount in board.labelled("amount") if amount.first > claim.last]
    parts = [part for part in board.labelled("component") if part.first > claim.last and part.value != claim.value]
    return bool(amounts and parts) and amounts[0].last < parts[0].first and led_to(board, amounts[0], parts[0])


def _only_tells_how(board: Board, claim: Claim) -> bool:
    """'with the compressor off' is a condition; 'six inches off the compressor' says where along a line."""
    for hit in board.hits.get("conditions", ()):
        if hit.first < claim.first and claim.last < hit.last and board.word(hit.first) in small_words("circumstances"):
            return True
        opens = hit.first == claim.first and hit.name == "off" and board.text(hit.last + 1, hit.last + 2) == "and it"
        if opens:
            return True  # 'compressor off and it crept to five'
    led = board.word(claim.first - 1 - (board.word(claim.first - 1) in small_words("component_articles")))
    if led == "with" and board.word(claim.last + 1) in small_words("how_it_runs"):
        return True  # 'with the draft blower on i'm at point five'
    at = claim.first - 1
    while at > 0 and (
        board.word(at) in small_words("before_things") or board.word(at) in table("not_readings")["away"]
    ):
        at -= 1
    owner = board.owner[at] if at >= 0 else None
    return owner is not None and owner.value == "distance"
