"""One utterance looked at as a whole: what its numbers are tied to and how they stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import Phase, Role, State, Trend
from journal.interpret.board import Board, Claim
from journal.interpret.context import Context
from journal.interpret.numbers.markings import Part, Row, capacitor_markings, gauge_pairs
from journal.interpret.places.asides import only_where
from journal.interpret.places.behind import Bound
from journal.interpret.places.choosing import choose_component, choose_kind
from journal.interpret.places.places import bind, lists_of, told_of_points
from journal.interpret.places.points import with_ends
from journal.interpret.places.sharing import (
    both_parts,
    drawn_on,
    mine_for_his,
    share_part_of_lines,
    share_settings,
    to_load,
)
from journal.interpret.standing.circumstances import phases_of, trends_of
from journal.interpret.standing.clauses import clause_starts
from journal.interpret.standing.printed import is_called
from journal.interpret.standing.roles import Stand, stands_of
from journal.interpret.standing.second_look import looked_again
from journal.interpret.vocabulary import small_words, table

MOST_STRESSED = 4  # words between what was shown and the same said once more
RECENT = 60  # readings back in which suction and discharge are looked for


@dataclass(slots=True)
class Sentence:
    """One utterance with everything that was found in it, before it is turned into readings."""

    board: Board
    items: list[Claim]
    lists: list[int]
    stands: list[Stand]
    components: list[Bound | None]
    points: list[Bound | None]
    kinds: list[Bound | None]
    machines: list[Bound | None]
    trends: dict[int, Trend]
    phases: list[Phase]
    parts: dict[int, Part]
    walls: list[int]
    wheres: list[Claim]  # parts that only say where another was measured
    both: dict[int, str]  # for numbers of two parts, the other one


def read_sentence(board: Board, context: Context) -> Sentence:
    """Look at a whole utterance: what its numbers are tied to and how they stand."""
    items = _without_restated(board, list(board.labelled("amount", "state")))
    lists = lists_of(board, items)
    role = context.role or (Role.SETTING if _setting_goes_on(board, context) else None)
    stands = looked_again(board, items, stands_of(board, items, role, context.withheld, context.asked))
    named_parts = list(board.labelled("component", "kind"))
    parts_said = [claim for claim in board.labelled("component") if not only_where(board, claim, named_parts)]
    components = bind(board, items, parts_said, lists, choose_component(board))
    drawn_on(board, items, parts_said, components)
    to_load(board, items, parts_said, components)
    share_settings(board, items, stands, components)
    mine_for_his(board, items, lists, stands, components)
    points = bind(board, items, list(board.labelled("points")), lists)
    told_of_points(board, items, list(board.labelled("points")), points)
    with_ends(board, items, points)
    kinds = bind(board, items, list(board.labelled("kind")), lists, choose_kind)
    machines = bind(board, items, list(board.labelled("equipment")), lists)
    for shared in (components, machines):
        share_part_of_lines(items, shared, points)
    phases, context.phase = phases_of(board, items, context.phase)
    named = [bound.claim.value if bound else None for bound in components]
    carried, latest = [], context.carried_component()
    for name in named:
        latest = name or latest
        carried.append(latest)
    called = [item.label == "amount" and is_called(board, item.value) for item in items]
    measured = [
        stand.said and stand.role is Role.MEASURED and not name for stand, name in zip(stands, called, strict=True)
    ]
    gauges = context.gauges_at is not None and context.now - context.gauges_at < 600
    parts = gauge_pairs(
        board,
        items,
        named,
        gauges or board.has("unsaid"),
        _last_pressures(context) if board.has("hedges over") else None,
    )
    parts = {
        n: part for n, part in parts.items() if stands[n].role is not Role.NAMEPLATE or not slashed(board, items, n)
    }
    pointed = [bound is not None for bound in points]
    parts |= capacitor_markings(Row(items, carried, measured, pointed, [name is not None for name in named]))
    return Sentence(
        board, items, lists, stands, components, points, kinds, machines, trends_of(board, items), phases, parts,
        clause_starts(board),
        [claim for claim in board.labelled("component") if claim not in parts_said],
        both_parts(board, items, parts_said, components),
    )  # fmt: skip


def _setting_goes_on(board: Board, context: Context) -> bool:
    """'i'm setting cut in at two hundred' ... 'and cut out at one forty': the other end of what is being set."""
    last = context.last()
    cue = board.starts("roles", 1)
    ends = cue is not None and board.text(cue.first, cue.last) in table("roles")["setting"]["ends"]
    return board.word(0) == "and" and ends and last is not None and last.reading.role is Role.SETTING


def slashed(board: Board, items: Sequence[Claim], place: int) -> bool:
    """'one fifteen slash two thirty': two voltages as a plate gives them, with no unit of their own."""
    volts = set(table("unsaid")["nominal_volts"])
    for left, right in ((place - 1, place), (place, place + 1)):
        if left < 0 or right >= len(items) or board.text(items[left].last + 1, items[right].first - 1) != "/":
            continue
        pair = (items[left], items[right])
        if all(i.label == "amount" and i.value.unit is None and i.value.value in volts for i in pair):
            return True
    return False


def _last_pressures(context: Context) -> tuple[Decimal, Decimal] | None:
    """Suction and discharge as last read in this visit."""
    found: dict[str, Decimal] = {}
    for draft in context.drafts[-RECENT:]:
        reading = draft.reading
        usable = reading.kind is Kind.PRESSURE and reading.role is Role.MEASURED and not reading.withdrawn
        if usable and reading.value is not None and reading.component in ("suction", "discharge"):
            found[str(reading.component)] = reading.value
    return (found["suction"], found["discharge"]) if len(found) == 2 else None


def _without_restated(board: Board, items: list[Claim]) -> list[Claim]:
    """'common to ground nothing it's open': the second state says what the first one meant."""
    kept: list[Claim] = []
    for place, item in enumerate(items):
        after = items[place + 1] if place + 1 < len(items) else None
        if after is not None and (_shown_by(board, item, after) or _said_again(board, item, after)):
            continue
        if after is not None and _same_state(board, item, after):
            continue
        if after is not None and is_vague(item) and _close(board, item, after):
            if after.label == "state" and after.value.state is State.OPEN:
                continue
            if after.label == "amount" and after.value.value == 0:
                continue  # 'second heater nothing zero amps'
        if kept and is_vague(item) and _only_stressed(board, kept[-1], item):
            continue
        if kept and _means(board, kept[-1], item):
            continue
        kept.append(item)
    return kept


def is_vague(item: Claim) -> bool:
    """'nothing', 'nada': by itself it does not say what is missing."""
    return item.label == "state" and item.value.state is State.ABSENT and item.value.kind is Kind.VOLTAGE


def _close(board: Board, item: Claim, after: Claim) -> bool:
    between = range(item.last + 1, after.first)
    return len(between) <= 3 and all(board.owner[at] is None for at in between)


def _only_stressed(board: Board, before: Claim, item: Claim) -> bool:
    """'run to ground is open i mean nothing at all': what was shown, said once more; its 'i mean' corrects nothing."""
    open_ = before.label == "state" and before.value.state is State.OPEN
    zero = before.label == "amount" and before.value.value == 0
    between = range(before.last + 1, item.first)
    cues = [c for c in board.labelled("correction") if before.last < c.first and c.last < item.first]
    plain = all(board.owner[at] is None or board.owner[at] in cues for at in between)
    joined = any(board.word(at) in small_words("conjunctions") for at in between)
    tied = board.word(item.last + 1) in small_words("point_ties") | small_words("place_ties")
    if not (open_ or zero) or not plain or joined or tied or len(between) > MOST_STRESSED:
        return False
    for cue in cues:
        board.release(cue)
    return True


def _means(board: Board, ohms: Claim, item: Claim) -> bool:
    """'common to ground two ohms it's shorted': what the number means, no second reading."""
    short = item.label == "state" and item.value.state is State.SHORT and ohms.label == "amount"
    between = [board.word(at) for at in range(ohms.last + 1, item.first)]
    told = bool(between) and all(word in small_words("concluding") | {"so"} for word in between)
    return short and ohms.value.unit == "ohm" and told and "and" not in between


def _shown_by(board: Board, state: Claim, amount: Claim) -> bool:
    """'reversing valve's energized o to c reads twenty five point one': the number is what showed it."""
    if state.label != "state" or state.value.state is not State.PRESENT or amount.label != "amount":
        return False
    between = range(state.last + 1, amount.first)
    points = any((owner := board.owner[at]) is not None and owner.label == "points" for at in between)
    part = any((owner := board.owner[at]) is not None and owner.label == "component" for at in between)
    return points and not part and amount.value.unit in (None, "volt")


def _same_state(board: Board, first: Claim, second: Claim) -> bool:
    """'it's open no continuity', 'nothing, zero volts': what was shown, said once more in other words; the same words
    twice are two places."""
    if first.label != "state" or not _close(board, first, second):
        return False
    this, other = first.value, second.value
    if second.label == "state":
        joined = any(board.word(at) == "and" for at in range(first.last + 1, second.first))
        return (this.state, this.kind) == (other.state, other.kind) and this.form != other.form and not joined
    unit = table("kinds")[this.kind.value]["unit"]
    absent = this.state is State.ABSENT and second.label == "amount" and other.value == 0
    return absent and other.unit in (None, unit)


def _said_again(board: Board, first: Claim, second: Claim) -> bool:
    """'it's a four so we're at four degrees', 'it's nine nine amps': one number, said again with its unit; 'box is
    forty four yeah box is forty four'."""
    if first.label != "amount" or second.label != "amount":
        return False
    if _assented(board, first, second):
        return True
    if first.value.unit is not None:
        return False
    if first.value.value is None or first.value.value != second.value.value or second.value.unit is None:
        return False
    between = range(first.last + 1, second.first)
    plain = all(board.owner[at] is None for at in between)
    return plain and (any(board.word(at) == "so" for at in between) or _stammered(board, first, second))


def _assented(board: Board, first: Claim, second: Claim) -> bool:
    """'superheat's six it's six degrees', 'head two eighty five i said head two eighty five': nothing but the same."""
    one, other = first.value, second.value
    if one.value is None or one.value != other.value or not (one.unit == other.unit or None in (one.unit, other.unit)):
        return False
    between = range(first.last + 1, second.first)
    named = {str(c.value) for c in board.labelled("component", "kind") if c.last < first.first}
    for at in between:
        owner = board.owner[at]
        if owner is None and board.word(at) not in small_words("saying_again"):
            return False
        if owner is not None and (owner.label not in ("component", "kind") or str(owner.value) not in named):
            return False
    return any(board.owner[at] is None for at in between)


def _stammered(board: Board, first: Claim, second: Claim) -> bool:
    """'it's nine nine amps' repeats itself, 'legs are nine nine and eight amps' is a list."""
    behind = board.owner[second.last + 1] if second.last + 1 < len(board.pieces) else None
    alone = not any(c.label == "amount" and 0 < c.first - second.last <= 2 for c in board.claims)
    return (
        second.first == first.last + 1
        and alone
        and (behind is None or behind.label != "points")
        and board.word(first.first - 1) in small_words("it")
    )
