"""Parts and places claimed by their names, longest first; what only sounds like one is left alone."""

from __future__ import annotations

from journal.interpret.board import Board, Claim, Hit, spans_of
from journal.interpret.numbers.amounts import degree_forms, opens_next, tails
from journal.interpret.numbers.runs import is_number_word
from journal.interpret.places.behind import GAUGE_SIDES
from journal.interpret.places.lines import claim_bare_line
from journal.interpret.vocabulary import small_words, table

MOST_CALLED = 4  # words from a coil to the part it is on


def claim_components(board: Board) -> None:
    """Claim the parts and places named; 'start relay coil' is one part, the coil is of the relay."""
    data = table("components")
    before: Claim | None = None
    beyond = spans_of(tails(board))
    for hit in board.found("components"):
        if not beyond.isdisjoint(range(hit.first, hit.last + 1)) or _is_elsewhere(board, hit):
            continue
        if data[hit.name].get("of_machines") and _names_machine(board, hit):
            continue
        if before is not None and before.value == "coil" and "coil" in data[hit.name] and _tied_to(board, before, hit):
            board.release(before)
            before = board.claim("component", before.first, hit.last, data[hit.name]["coil"], "coil of a part")
            continue
        generic = data[hit.name].get("generic") or data[hit.name].get("weak")
        if before is not None and generic and _right_behind(board, before, hit):
            value = data[before.value].get("coil", before.value) if hit.name == "coil" else before.value
            claim = Claim("component", before.first, hit.last, value, before.rule)
            board.release(before)
            before = board.claim("component", claim.first, claim.last, claim.value, "part of a part")
            continue
        before = board.claim("component", hit.first, hit.last, _of_the_same(board, hit), "part or place")
    sides = [claim.value for claim in board.labelled("component") if claim.value in GAUGE_SIDES]
    if sides or any(hit.name == "gauges" for hit in board.hits.get("unsaid", ())):
        for hit in [hit for hit in board.found("components with gauges") if hit.name not in sides]:
            if hit.last + 1 >= len(board.pieces) or board.owner[hit.last + 1] is None:
                board.claim("component", hit.first, hit.last, hit.name, "side of the gauges")
    claim_bare_line(board)
    _claim_weather(board)


def _claim_weather(board: Board) -> None:
    """'head's two forty and it's ninety five out': outside, unless what was named has a way in and a way out."""
    for at, piece in enumerate(board.pieces):
        first = at - 1 - (board.word(at - 1) in degree_forms())
        ends = board.word(at + 1) in small_words("behind_outdoors") | small_words("conjunctions")
        if piece.text != "out" or not ends or board.owner[at] is not None:
            continue
        number = first
        while number > 0 and (
            is_number_word(board.pieces[number]) or board.word(number) in small_words("amid_numbers")
        ):
            number -= 1
        if first - number == 1 and board.word(first) in table("numbers")["digits"]:
            continue  # 'it's two degrees out': so much is it wrong
        led = number < first and (board.word(number) == "it's" or board.text(number - 1, number) == "it is")
        before = [claim for claim in board.labelled("component") if claim.last < at]
        through = bool(before) and before[-1].value in small_words("flowed_through")
        if led and not through and not any(board.word(place) in small_words("way_in") for place in range(at)):
            board.claim("component", at, at, "ambient", "out of doors")


def _tied_to(board: Board, coil: Claim, hit: Hit) -> bool:
    """'coil on the defrost contactor': a preposition leads to the part, and no more than what it is called stands
    between."""
    between = [board.word(at) for at in range(coil.last + 1, hit.first)]
    free = board.free(coil.last + 1, hit.first - 1)
    return free and 1 <= len(between) <= MOST_CALLED and between[0] in small_words("part_ties")


def _of_the_same(board: Board, hit: Hit) -> str:
    """'that second heater' while drain heaters are spoken of: one of them."""
    body = table("components")
    if board.hints is None or not body[hit.name].get("generic"):
        return hit.name
    if board.hints.circumstance in body[hit.name].get("becomes", {}):
        return hit.name  # in a defrost they are the defrost heaters, whatever other heater was spoken of
    here = [claim.value for claim in board.labelled("component") if claim.last < hit.first]
    bare = hit.first == hit.last and hit.name != "coil"
    spoken = [board.hints.component, *reversed(here), *board.hints.spoken] if bare else [board.hints.component]
    alike = (name for name in spoken if name and name.endswith(f" {hit.name}") and body[name].get("electrical"))
    return next(alike, hit.name)


def _right_behind(board: Board, part: Claim, hit: Hit) -> bool:
    """'start relay coil', 'the start relay's coil'."""
    body = table("components")[part.value]
    if body.get("sensed"):
        return False  # 'box's coil is at thirty'
    owned = bool(body.get("electrical")) and board.word(part.last + 1) == "'s"
    return part.last + 1 + owned == hit.first


def _names_machine(board: Board, hit: Hit) -> bool:
    """'meat walk in', 'milk cooler': goods right before the machine they are kept in."""
    owner = board.owner[hit.last + 1] if hit.last + 1 < len(board.pieces) else None
    return owner is not None and owner.label == "equipment"


def _is_elsewhere(board: Board, hit: Hit) -> bool:
    """The words are part of a point ('the common wire'), a unit ('inches of vacuum'), a state ('line voltage at the
    contactor') or a kind ('max fuse')."""
    if any((longer := board.ends(context, hit.last)) and longer.first < hit.first for context in ("kinds", "points")):
        return True
    for unit in board.hits.get("units", ()):
        at = unit.first - 1
        if board.word(at) in table("numbers")["articles"] and board.word(at - 1) == "of":
            at -= 2  # 'three quarters of an inch of water column'
        counted = unit.first < hit.first <= unit.last and at >= 0 and is_number_word(board.pieces[at])
        if counted and not opens_next(board, unit):
            return True
    state = board.starts("states", hit.first)
    if state is None or state.last != hit.last:
        state = next((s for s in board.hits.get("states", ()) if s.first <= hit.first and s.last >= hit.last), None)
    return state is not None and board.word(state.last + 1) in table("unsaid")["prepositions"]
