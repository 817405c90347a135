"""What is known around each number of a sentence: place, kind, list, topic, what goes on from before."""

from __future__ import annotations

from typing import Any

from journal.domain.kind import Kind
from journal.domain.reading import Role
from journal.domain.unit_table import unit_table
from journal.interpret.board import Board, Claim
from journal.interpret.context import Context, Draft
from journal.interpret.idle.memories import place_remembered, unit_remembered
from journal.interpret.idle.number_names import at_name, in_turn
from journal.interpret.numbers.amounts import Amount
from journal.interpret.places.controls import acting, set_before
from journal.interpret.places.lines import line_after, line_of_difference
from journal.interpret.places.mates import mates_of
from journal.interpret.places.points import Points
from journal.interpret.places.points_around import points_at
from journal.interpret.quantities.against import rival, set_against, told_with
from journal.interpret.quantities.going_on import end_before, kind_goes_on, of_pressures
from journal.interpret.quantities.moving import moved_from
from journal.interpret.quantities.surroundings import DIFFERENCES, Surroundings, electrical, kind_for
from journal.interpret.quantities.topics import component_here, topic_hit
from journal.interpret.sentence import Sentence, slashed
from journal.interpret.standing.circumstances import mode_set
from journal.interpret.standing.clauses import clause_of
from journal.interpret.standing.durations import rests_for
from journal.interpret.standing.settings import moved_to
from journal.interpret.vocabulary import small_words, table

LOADS = ("watt", "kilowatt", "ampere")  # units of what is drawn at a voltage


def look_around(sentence: Sentence, place: int, context: Context) -> Surroundings:
    board, item = sentence.board, sentence.items[place]
    component = sentence.components[place]
    carried = context.carried_component()
    clause = clause_of(sentence.walls, item.first)
    ends = [*sentence.walls[1:], len(board.pieces)]
    words = frozenset(piece.text for piece in board.pieces[sentence.walls[clause] : ends[clause]])
    around = Surroundings(board, context, words=words)
    if component is not None:
        around.component, around.component_how = component.claim.value, "said"
    elif carried is not None:
        around.component, around.component_how = carried, "said" if context.waits else "carried"
        around.waiting = context.waits
    told = place_remembered(sentence, place, context) or set_before(sentence, place, context)
    if told is not None:
        around.component, around.component_how = told, "said"
    around.remembered = unit_remembered(sentence, place, context)
    last = context.last()
    said = item.value.unit if item.label == "amount" else None
    of_power = said in unit_table() and unit_table()[said].kinds[0] in (Kind.CURRENT, Kind.VOLTAGE)
    if around.component is not None and last is not None and not of_power:
        body = table("components")[around.component]
        after = body.get("after", {}) if _within_after(body, item) else {}
        if component is not None and set(body.get("after_unless", ())) & set(_said_as(board, component.claim)):
            after = {}
        around.component = after.get(last.reading.component, around.component)
    if component is not None and board.word(component.claim.first) == "line":
        own = line_of_difference(board, component.claim.value)
        line = own or (line_after(component.claim.value, last) if last is not None else None)
        around.component = line or around.component
    if component is not None and around.component == "motor" and _is_the_motor(board, component.claim):
        around.component = context.motor or around.component
    if sentence.wheres and any(w.last < item.first and w.first > end_before(sentence, place) for w in sentence.wheres):
        around.component_how = "said"
    machine = sentence.machines[place]
    if component is None and machine is not None and machine.claim.value.body.get("side"):
        around.component, around.component_how = machine.claim.value.entry, "said"
    around.points = points_at(sentence, place, context)
    kind = sentence.kinds[place] or kind_goes_on(sentence, place)
    if kind is not None and kind.how == "list" and component is not None and component.how == "before":
        places = table("components")[around.component or ""].get("unsaid", ())
        if Kind(kind.claim.value) in DIFFERENCES and any(entry["unit"] == "degF" for entry in places):
            kind = None  # 'supply fifty seven nineteen degree split'
    if kind is not None and kind.how == "list" and Kind(kind.claim.value) in DIFFERENCES and _at_one_end(board, item):
        kind = None  # 'drop across the drier four degrees ninety six going in'
    around.printed = sentence.stands[place].role is Role.NAMEPLATE
    around.expected = sentence.stands[place].role is Role.EXPECTED
    around.stressed = _stressed(sentence, item)
    around.nominal = item.label == "amount" and _is_nominal(board, item)
    around.clamped = _clamped(sentence, place)
    around.acted = sentence.stands[place].acted
    around.went_in = _went_in(sentence, place)
    around.led = _is_led(sentence, place, context)
    if kind is not None:
        around.kind = Kind(kind.claim.value)
    elif context.kind is not None and context.now - context.kind_at < 60:
        around.kind = context.kind
    if around.kind is Kind.TEMPERATURE_DIFFERENCE and of_pressures(sentence, place, context):
        around.kind = Kind.PRESSURE
    around.machine = sentence.machines[place] is not None and component is None
    around.measured = sentence.stands[place].said
    around.mates = tuple(mates_of(sentence, place, around))
    around.topic = _topic(sentence, place, context)
    if around.topic == "draw" and component is not None and _named_since(sentence, place, component.claim):
        around.topic = None  # 'the fan's drawing one point two and its cap's reading four point one'
    if around.topic is not None and not electrical(around.component) and _is_printed_led(sentence, place, around.topic):
        around.component, around.component_how = None, ""  # 'condenser, two pole thirty': the poles are of no condenser
    around.denied = _denied(sentence, place)
    if around.topic is not None and component_here(sentence, place, context):
        around.component, around.component_how = table("unsaid")[around.topic]["place"], "carried"
    control = acting(sentence, place, context) if around.component_how == "carried" or around.waiting else None
    if control is not None:
        around.component = control
    around.in_turn = (
        component is None
        and in_turn(board, item)
        and (bool(place) or _worked_on(sentence) or _one_by_one(sentence, last))
    )
    around.in_row = (
        bool(place) and component is None and all(at_name(board, i) for i in sentence.items[place - 1 : place + 1])
    )
    around.set_to = moved_to(board, item.first) is not None
    around.service = _of_service(sentence, place) if around.printed else _rated_at(sentence, place)
    before = moved_from(sentence, place, context)
    if before is not None:
        around.moved, around.kind = before, before.kind
        around.component, around.component_how = before.component, "carried"
        if before.points and around.points is None:
            around.points = Points(same=True)
    around.rests = rests_for(board, item, sentence.items)
    if around.rests and last is not None:
        around.component, around.component_how = last.reading.component, "said"
    against = set_against(sentence, place, context) if before is None else None
    found = before or against
    if found is not None and item.value.unit is None and context.drafts:
        around.rival = rival(item.value, found, told_with(context, context.drafts[-1]))
    if against is not None:
        around.against, around.kind = against, against.kind
        around.component, around.component_how = against.component, "carried"
        if against.points and around.points is None and sentence.stands[place].role is Role.MEASURED:
            around.points = Points(same=True)
    inherit = context.inherit
    if inherit is not None and inherit.reading.unit is not None:
        around.fallback = (inherit.reading.unit, inherit.reading.kind)
        around.restarted = board.word(item.first - 1) in small_words("it")
    return around


def _is_printed_led(sentence: Sentence, place: int, topic: str) -> bool:
    """'a two pole thirty': right behind the word that makes it a printed number."""
    body = table("unsaid")[topic]
    return "role" in body and sentence.board.word(sentence.items[place].first - 1) in body.get("when_led", ())


def _stressed(sentence: Sentence, item: Claim) -> bool:
    """'second leg nothing zero': the state before the number said the same and was left out for it."""
    before = sentence.board.owner[item.first - 1] if item.first else None
    return before is not None and before.label == "state" and before not in sentence.items


def _within_after(body: dict[str, Any], item: Claim) -> bool:
    """'static's point six, return side minus point two' is static; 'return air's thirty' behind it is none."""
    low, high = body.get("after_above"), body.get("after_below")
    if low is None and high is None:
        return True
    return item.label == "amount" and (low is None or item.value.key > low) and (high is None or item.value.key < high)


def _said_as(board: Board, claim: Claim) -> list[str]:
    return [board.word(at) for at in range(claim.first, claim.last + 1)]


def _of_service(sentence: Sentence, place: int) -> bool:
    """Phases or hertz stand behind the number's list, a slash parts it from another, or watts are rated 'at' it."""
    board, own = sentence.board, sentence.lists[place]
    if slashed(board, sentence.items, place):
        return True
    last = max(item.last for item, n in zip(sentence.items, sentence.lists, strict=True) if n == own)
    supply = small_words("of_a_supply")
    if any(board.word(at) in supply for at in range(last + 1, last + 3)):
        return True
    return _rated_at(sentence, place)


def _rated_at(sentence: Sentence, place: int) -> bool:
    """'forty five hundred watts at two forty', 'should pull twenty amps at two forty': the voltage there."""
    rated = [item.value.unit for item in sentence.items[:place] if item.label == "amount"]
    return bool(rated) and rated[-1] in LOADS and sentence.board.word(sentence.items[place].first - 1) == "at"


def _is_the_motor(board: Board, claim: Claim) -> bool:
    """'blower's drawing six amps on a motor stamped seven': the motor spoken of, not another one."""
    plain = board.word(claim.first) == board.word(claim.last) == "motor"
    return plain and board.word(claim.first - 1) in small_words("component_articles") | {"a"}


def _denied(sentence: Sentence, place: int) -> tuple[str, Kind] | None:
    """'that's not four eighty volts it's two forty': the number before was denied, this one takes its unit."""
    if not place or sentence.stands[place].withheld is not None or sentence.components[place] is not None:
        return None
    before = sentence.items[place - 1]
    if sentence.stands[place - 1].withheld != "negated" or before.label != "amount":
        return None
    unit = before.value.unit
    if unit is None or unit.startswith("shared"):
        return None
    return unit, kind_for(unit, None)


def _clamped(sentence: Sentence, place: int) -> bool:
    """'clamp on common says nine point four': the instrument was named before the number, with no other between."""
    mode = mode_set(sentence.board)
    return mode is not None and end_before(sentence, place) < mode[0] < sentence.items[place].first


def _is_led(sentence: Sentence, place: int, context: Context) -> bool:
    """A number of the same utterance was a reading, and 'and', 'at', 'to' or a comma leads to this one."""
    last = context.last()
    here = last is not None and last.reading.evidence is not None
    if last is None or not here or last.reading.evidence.utterance != sentence.board.utterance.index:  # type: ignore[union-attr]
        return False
    at = sentence.items[place].first - 1
    if sentence.board.word(sentence.items[place].last + 1) in small_words("way_out") and _went_in(sentence, place):
        return True
    before = sentence.board.word(at)
    owner = sentence.board.owner[at] if at >= 0 else None
    if owner is not None and owner.rule == "one of several":
        return True  # 'top one twenty eight ohms middle one twenty nine'
    return sentence.board.ends("phases", at) is not None or before in table("unsaid")["leading"]


def _worked_on(sentence: Sentence) -> bool:
    """'swapped it and that one's six amps': the thing worked on is one of those just measured."""
    return any(claim.value.done and claim.value.components for claim in sentence.board.labelled("work"))


def _one_by_one(sentence: Sentence, last: Draft | None) -> bool:
    """'room two ten one eighty', 'number two also twenty four' behind a reading of the utterance before, with no part
    named since: the same quantity, one thing after the other."""
    return last is not None and not any(True for _ in sentence.board.labelled("component"))


def _at_one_end(board: Board, item: Claim) -> bool:
    """'ninety six going in ninety two coming out': of one end, and no difference of the two."""
    ends = small_words("way_in") | small_words("way_out")
    return any(board.word(at) in ends for at in (item.last + 1, item.last + 2))


def _went_in(sentence: Sentence, place: int) -> bool:
    """'ninety one into the drier eighty four out': both ends of one thing."""
    if not place:
        return False
    behind = sentence.items[place - 1].last + 1
    return any(sentence.board.word(at) in small_words("way_in") for at in (behind, behind + 1))


def _topic(sentence: Sentence, place: int, context: Context) -> str | None:
    hit = topic_hit(sentence, place)
    if hit is not None:
        return hit.name
    return context.topic if context.now - context.topic_at < 60 else None


def _named_since(sentence: Sentence, place: int, part: Claim) -> bool:
    """A part that draws nothing was named behind the word of amps."""
    hit = topic_hit(sentence, place)
    return "capacitor" in part.value and (hit is None or hit.last < part.first)


def _is_nominal(board: Board, item: Claim) -> bool:
    """'got my twenty four at the coil': the voltage is there; 24 V is its name, not what the meter shows."""
    amount: Amount = item.value
    mine = board.word(item.first - 1) in table("unsaid")["possessives"]
    return mine and amount.unit in (None, "volt") and amount.value in table("unsaid")["nominal_volts"]
