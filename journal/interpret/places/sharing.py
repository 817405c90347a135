"""Parts that numbers of one sentence share, or that another part hands on to its number."""

from __future__ import annotations

from collections.abc import Sequence

from journal.domain.kind import Kind
from journal.domain.reading import Role
from journal.domain.unit_table import can_measure
from journal.interpret.board import Board, Claim
from journal.interpret.places.behind import Bound, led_to
from journal.interpret.places.points import is_single
from journal.interpret.standing.roles import Stand
from journal.interpret.vocabulary import small_words, table


def share_part_of_lines(items: Sequence[Claim], components: list[Bound | None], points: Sequence[Bound | None]) -> None:
    """'l one eighteen l two nineteen l three eighteen amps on compressor one': one part for all its lines."""
    for place in range(len(items) - 2, -1, -1):
        after, here, there = components[place + 1], points[place], points[place + 1]
        lines = here is not None and there is not None and is_single(here.claim) and is_single(there.claim)
        bare = items[place].label == "amount" and items[place].value.unit is None
        if lines and bare and components[place] is None and after is not None and after.how in ("behind", "list"):
            components[place] = Bound(after.claim, "list")


def drawn_on(board: Board, items: Sequence[Claim], parts: Sequence[Claim], components: list[Bound | None]) -> None:
    """'there's a vacuum on the low side, eleven inches': inches are of the place that the vacuum stands on."""
    for place, item in enumerate(items):
        bound = components[place]
        inches = item.label == "amount" and item.value.unit_form in small_words("inches_said")
        if bound is None or bound.claim.value != "vacuum" or not inches:
            continue
        on = next((c for c in parts if bound.claim.last < c.first and c.last < item.first), None)
        if on is not None and led_to(board, bound.claim, on) and _has_pressure(on):
            components[place] = Bound(on, "before")


def both_parts(
    board: Board, items: Sequence[Claim], parts: Sequence[Claim], components: Sequence[Bound | None]
) -> dict[int, str]:
    """'suction and head were both sitting at one eighteen': one number for two parts; the first of them by item."""
    found: dict[int, str] = {}
    units = {name: {e["unit"] for e in body.get("unsaid", ())} for name, body in table("components").items()}
    for place, item in enumerate(items):
        bound, since = components[place], items[place - 1].last if place else -1
        if bound is None or bound.how != "before" or item.label != "amount" or item.value.form == "range":
            continue
        before = [c for c in parts if since < c.first and c.last < bound.claim.first]
        if not before or before[-1].value == bound.claim.value:
            continue
        between = [board.word(at) for at in range(before[-1].last + 1, bound.claim.first)]
        joined = "and" in between and all(word == "and" or word in small_words("openers") for word in between)
        told = {board.word(at) for at in range(bound.claim.last + 1, item.first)}
        told |= {board.word(before[-1].first - n) for n in (1, 2)}
        alike = units[before[-1].value] & units[bound.claim.value]
        if joined and alike and told & small_words("both_alike"):
            found[place] = before[-1].value
    return found


def to_load(board: Board, items: Sequence[Claim], parts: Sequence[Claim], components: list[Bound | None]) -> None:
    """A breaker or a contactor draws nothing: the amps are of what it feeds."""
    data = table("components")
    for place, item in enumerate(items):
        bound, end = components[place], items[place + 1].first if place + 1 < len(items) else len(board.pieces)
        if bound is None or not data[bound.claim.value].get("passes") or not _are_amps(board, item):
            continue
        drawer = _named_drawer(board, item, parts, bound)
        load = _named_load(board, [c for c in parts if c.last < end], max(item.last, bound.claim.last))
        if drawer is not None:
            components[place] = Bound(drawer, "before")
        elif load is not None:
            components[place] = Bound(load, "behind")


def _are_amps(board: Board, item: Claim) -> bool:
    if item.label != "amount" or item.value.unit not in (None, "ampere"):
        return False
    return item.value.unit is not None or board.word(item.first - 1) in table("unsaid")["draw"]["forms"]


def _draws(part: Claim) -> bool:
    body = table("components")[part.value]
    return bool(body.get("electrical")) and not body.get("passes")


def _named_drawer(board: Board, item: Claim, parts: Sequence[Claim], bound: Bound) -> Claim | None:
    """'the condenser fan's hooked to the same contactor and pulls one point eight': the one that can draw."""
    first = max((c.last for c in board.labelled("amount", "state") if c.last < item.first), default=-1) + 1
    able = [c for c in parts if first <= c.first and c.last < bound.claim.first and _draws(c)]
    drawn = any(board.word(at) in table("unsaid")["draw"]["forms"] for at in range(bound.claim.last + 1, item.first))
    return able[-1] if able and drawn and bound.how == "before" else None


def _named_load(board: Board, parts: Sequence[Claim], start: int) -> Claim | None:
    """'eighteen amps at the breaker for the compressor', 'nine amps off the contactor to the compressor'."""
    load = next((c for c in parts if start < c.first), None)
    if load is None or not _draws(load):
        return None
    between = [board.word(at) for at in range(start + 1, load.first)]
    ties = small_words("load_ties")
    plain = ties | small_words("openers") | small_words("on_the_way")
    return load if any(word in ties for word in between) and all(word in plain for word in between) else None


def _has_pressure(part: Claim) -> bool:
    places = table("components")[part.value].get("unsaid", ())
    return any(can_measure(entry["unit"], Kind.PRESSURE) for entry in places)


def share_settings(
    board: Board, items: Sequence[Claim], stands: Sequence[Stand], components: list[Bound | None]
) -> None:
    """'cut in twenty eight cut out twelve on the low pressure control': the control behind is of both."""
    settable = table("work")["set"]["only"]
    for place, item in enumerate(items):
        bound = components[place]
        if (
            bound is None
            or stands[place].role is not Role.SETTING
            or not table("components")[bound.claim.value].get("weak")
        ):
            continue
        controls = [c for c in board.labelled("component") if c.value in settable and c.last < item.first]
        if controls:  # 'jumped out the low pressure switch with a piece of wire ... set it at ten out'
            components[place] = Bound(controls[-1], "before")
    for place in range(len(items) - 2, -1, -1):
        after = components[place + 1]
        both = stands[place].role is stands[place + 1].role is Role.SETTING
        if both and components[place] is None and after is not None and after.how in ("behind", "list"):
            components[place] = Bound(after.claim, "list")


def mine_for_his(
    board: Board, items: Sequence[Claim], lists: Sequence[int], stands: Sequence[Stand], components: list[Bound | None]
) -> None:
    """'last time suction was sixty and head two forty, mine are fifty five and two twenty': in the same order."""
    if not any(piece.text in small_words("mine") for piece in board.pieces):
        return
    for place, item in enumerate(items):
        lead = [board.word(at) for at in range(item.first - 3, item.first)]
        own = [n for n, number in enumerate(lists) if number == lists[place]]
        if lists[place] != place or not set(lead) & small_words("mine") or len(own) < 2:
            continue
        told = [n for n in range(place) if stands[n].withheld == "memory" and components[n] is not None]
        if len(told) == len(own) and all(components[n] is None for n in own):
            for n, other in zip(own, told, strict=True):
                components[n] = components[other]
