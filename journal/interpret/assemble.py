"""Claims of one utterance become readings: each number or state with its place, role, unit and circumstances.

The order is the sentence's.  What was said counts before what carries over; what carries over is written down as
inferred.  Corrections are applied as they are met, so that the reading they take back is the one just before.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from journal.domain.kind import Kind
from journal.domain.reading import Doubt, Reading, Role, State
from journal.interpret.board import Board, Claim
from journal.interpret.carrying import carry_over
from journal.interpret.context import Context, Draft
from journal.interpret.evidence import evidence_of
from journal.interpret.idle.memories import remember
from journal.interpret.idle.told import difference_told
from journal.interpret.idle.withholding import is_to_be_ordered, no_reading
from journal.interpret.numbers.amounts import Amount, unit_body
from journal.interpret.numbers.markings import of_gauges
from journal.interpret.places.belonging import component_of
from journal.interpret.places.choosing import choose_component
from journal.interpret.places.controls import PRESSURE_CONTROLS
from journal.interpret.places.equipment import machine_behind
from journal.interpret.places.having import ELECTRICAL
from journal.interpret.places.naming import part_named
from journal.interpret.places.placing import at_points
from journal.interpret.quantities.grounding import grounding_doubts
from journal.interpret.quantities.headings import in_unit_of_list, note_heading
from journal.interpret.quantities.looking import look_around
from journal.interpret.quantities.opinion import possible_kinds, with_opinion
from journal.interpret.quantities.quantities import quantity_of
from journal.interpret.quantities.surroundings import DIFFERENCES, Quantity, Surroundings
from journal.interpret.seen.shown import state_drafts
from journal.interpret.sentence import Sentence, read_sentence
from journal.interpret.standing.circumstances import instrument_for, is_drop, mode_set
from journal.interpret.standing.details import (
    all_conditions,
    how_long,
    role_of,
    sources_of,
    with_rivals,
)
from journal.interpret.standing.durations import HELD, duration_use, took_to_act
from journal.interpret.standing.printed import BESIDE_PLATE
from journal.interpret.standing.second_look import GIVEN_BACK, is_read, place_by_tags, role_by_tags, weighed
from journal.interpret.tagger.tags import TAKEN_BACK
from journal.interpret.vocabulary import small_words, table

LAST_WORDS = 3  # a part named so close to an utterance's end waits for its number
SHORT = 5
TEMPERATURES = (Kind.TEMPERATURE, Kind.SATURATION_TEMPERATURE)


def assemble(board: Board, context: Context) -> None:
    """Turn one utterance into drafts of the context, in the order spoken; apply corrections; carry places over."""
    from journal.interpret.amending import apply_cue, finish_cue, only_pauses, take_back

    sentence = read_sentence(board, context)
    mode = mode_set(board)
    events: list[tuple[int, str, Any]] = [(item.first, "item", place) for place, item in enumerate(sentence.items)]
    events += [
        (claim.first, claim.label, claim)
        for claim in board.labelled("correction", "equipment", "component", "points", "kind")
    ]
    if mode is not None:
        events.append((mode[0], "mode", mode[1]))
    for _, label, what in sorted(events, key=lambda event: event[0]):
        if label == "item":
            for draft in _drafts(sentence, what, context):
                finish_cue(context, draft, board)
                context.drafts.append(draft)
                if context.remembered is not None and context.remembered == draft.reading.component:
                    context.component, context.component_at = context.remembered, context.now
                context.remembered = context.remembered_unit = None
                if unit_body(draft.reading.unit).get("component") == draft.reading.component is not None:
                    context.component, context.component_at = draft.reading.component, context.now
                if sentence.stands[what].acted and draft.reading.component == context.control is not None:
                    context.component, context.component_at = context.control, context.now
                context.waits = False
                bound = sentence.components[what]
                if bound is not None and bound.how == "before" and what == 0:
                    context.component, context.component_at = bound.claim.value, context.now
                if draft.said_unit and draft.reading.kind in ELECTRICAL and draft.reading.role is Role.MEASURED:
                    context.mode = context.mode if context.mode is draft.reading.kind else None
        elif label == "correction":
            if not only_pauses(sentence, what):
                apply_cue(context, what, board)
        elif label == "mode":
            context.mode = what
        elif label == "equipment":
            context.equipment, context.equipment_entry = what.value.name, what.value.entry
            if what.value.body.get("side"):
                context.component, context.component_at = what.value.entry, context.now
        elif label == "component" and what not in sentence.wheres:
            context.spoken.append((what.value, context.now))
            body = table("components")[what.value]
            if _is_aside(sentence, what) or _only_holds(sentence, what):
                continue
            if not (body.get("weak") and body.get("generic") and context.carried_component()):
                said = (piece.text for piece in board.pieces)
                context.component, context.component_at = part_named(what.value, said, context), context.now
            turns = body.get("turns") and not (what.value == "motor" and context.motor is not None)
            context.motor = what.value if turns else context.motor
            context.waits = _waits(sentence, what)
            if what.value in PRESSURE_CONTROLS:
                context.control, context.control_at = what.value, context.now
    take_back(context, board)
    note_heading(board, context)
    carry_over(sentence, context)


def _is_difference_of_last_two(sentence: Sentence, place: int, context: Context) -> bool:
    """'return seventy six supply sixty six that's only ten degrees': the difference of the two before."""
    board, item = sentence.board, sentence.items[place]
    last = [draft.reading for draft in context.drafts[-2:] if draft.at == context.now]
    values = [r.value for r in last if r.kind in TEMPERATURES and r.value is not None]
    across = board.word(item.last + 1) in table("conditions")["drops_across"]
    named = sentence.components[place] is not None and not across
    return len(values) == 2 and not named and item.value.value == abs(values[0] - values[1])


def _difference(sentence: Sentence, place: int, context: Context, quantity: Quantity) -> Quantity:
    """A number in degrees that is the difference of the two before, or that is called a drop."""
    carried = quantity.kind is Kind.SATURATION_TEMPERATURE and _kind_of_another(sentence, place)
    between = (quantity.kind is Kind.TEMPERATURE or carried) and _is_difference_of_last_two(sentence, place, context)
    if not (between or is_drop(sentence.board, sentence.items[place])) or quantity.unit not in ("degF", "degC"):
        return quantity
    kinds = {draft.reading.kind for draft in context.drafts[-2:]}
    over = between and kinds == set(TEMPERATURES) and "suction line" in _places_of(context)
    kind = Kind.SUPERHEAT if over else Kind.TEMPERATURE_DIFFERENCE
    return replace(quantity, unit=f"delta_{quantity.unit}", kind=kind)


def _kind_of_another(sentence: Sentence, place: int) -> bool:
    """'saturation comes out to thirty five that gives me twelve': the quantity named was of the number before."""
    bound = sentence.kinds[place]
    return place > 0 and (bound is None or bound.claim.first < sentence.items[place - 1].last)


def _said_again(sentence: Sentence, place: int, context: Context, quantity: Quantity) -> Quantity:
    """'split's eighteen' ... 'yeah eighteen degrees sounds right': the difference just read, in plain degrees."""
    last, item = context.last(), sentence.items[place]
    if last is None or quantity.kind is not Kind.TEMPERATURE or last.reading.kind not in DIFFERENCES:
        return quantity
    opened = item.first <= 2 and sentence.board.word(item.first - 1) in small_words("assents")
    if not opened or item.value.value != last.reading.value or sentence.components[place] is not None:
        return quantity
    return replace(quantity, unit=last.reading.unit or quantity.unit, kind=last.reading.kind)


def _places_of(context: Context) -> set[str | None]:
    return {draft.reading.component for draft in context.drafts[-2:]}


def _is_aside(sentence: Sentence, part: Claim) -> bool:
    """'watching the low pressure control with the liquid valve shut': the place spoken of stays the control."""
    board = sentence.board
    if _only_for(sentence, part):
        return True
    led = board.word(part.first - 1) == "with" or board.text(part.first - 2, part.first - 1) == "with the"
    return led and not sentence.items and any(c.last < part.first for c in board.labelled("component"))


def _only_holds(sentence: Sentence, part: Claim) -> bool:
    """'strips on the upper coil', 'run cap on the blower': a part with values of its own goes on being spoken of; a
    sensor or a thermostat there stands for the place."""
    board = sentence.board
    before = [c for c in board.labelled("component") if c.last < part.first and c not in sentence.wheres]
    if not before or choose_component(board)([before[-1], part]) is part:
        return False
    body = table("components")[before[-1].value]
    return bool(body.get("electrical") and body.get("unsaid")) and not body.get("role")


def _only_for(sentence: Sentence, part: Claim) -> bool:
    """'cuts out at five which is too low for this compressor': a comparison, and another place was read before it."""
    board = sentence.board
    led = board.word(part.first - 2) == "for" and board.word(part.first - 1) in small_words("component_articles")
    bound = any(b is not None and b.claim is part for b in sentence.components)
    return led and not bound and any(b is not None and b.claim.last < part.first for b in sentence.components)


def _waits(sentence: Sentence, part: Claim) -> bool:
    """A part named at an utterance's end, or all alone, waits for its number; one spoken about does not."""
    if any(bound is not None and bound.claim is part for bound in sentence.components):
        return False
    return len(sentence.board.pieces) - part.last <= LAST_WORDS or len(sentence.board.pieces) <= SHORT


def _drafts(sentence: Sentence, place: int, context: Context) -> Iterator[Draft]:
    item, stand = sentence.items[place], sentence.stands[place]
    if item.label == "state" and stand.withheld in (None, "negated"):
        yield from state_drafts(sentence, place, context)
    if stand.withheld == "memory":
        remember(sentence, place, context)
    if item.label == "state" or stand.withheld is not None:
        return
    amount: Amount = item.value
    if (
        no_reading(sentence.board, item)
        or is_to_be_ordered(sentence.board, item, stand)
        or _belongs_to_work(sentence.board, item)
    ):
        return
    around = look_around(sentence, place, context)
    part = sentence.parts.get(place)
    if part is not None and part.unit:
        amount = replace(
            amount, unit=part.unit if amount.unit is None or amount.unit.startswith("shared") else amount.unit
        )
        around.component = part.component or around.component
    by_rule = quantity_of(amount, around)
    quantity = by_rule if of_gauges(part) else with_opinion(by_rule, amount, around)
    if quantity is None:
        if by_rule is not None:
            sentence.board.mark("left out", item.first, item.last, None, "the words around it sound like no reading")
        return
    if difference_told(sentence.board, item, quantity):
        return
    quantity = _difference(sentence, place, context, quantity)
    quantity = _said_again(sentence, place, context, quantity)
    quantity = in_unit_of_list(amount, around, quantity)
    if quantity.kind is Kind.DURATION:
        use = duration_use(
            sentence.board,
            item,
            sentence.items,
            set_=stand.role is Role.SETTING or _should_take(sentence, place, context),
        )
        compared = around.against is not None and around.against.kind is Kind.DURATION
        surely = is_read(sentence.board, amount)  # of 23 such that qualify a reading, 19 were told of the machine
        if not surely and (use == HELD or (use is None and not compared)):
            return
        if took_to_act(sentence.board, item):  # plainly told of the machine, whatever else the words sound like
            quantity.doubts = [doubt for doubt in quantity.doubts if doubt.code != "maybe no reading"]
    if part is not None and part.unit:
        quantity.inferred.setdefault("unit", part.why) if sentence.items[place].value.unit is None else None
    known = {doubt.code for doubt in quantity.doubts}
    quantity.doubts += [d for d in grounding_doubts(sentence, place, around, quantity) if d.code not in known]
    yield from _amount_drafts(sentence, place, context, amount, around, quantity)


def _should_take(sentence: Sentence, place: int, context: Context) -> bool:
    """'the delay timer wants three minutes': how long a part should take is told of the part; 'should be two minutes'
    of what was just timed."""
    bound, stand, last = sentence.components[place], sentence.stands[place], context.last()
    part = table("components")[bound.claim.value] if bound is not None else {}
    timed = last is not None and last.reading.kind is Kind.DURATION
    return stand.said and stand.role is Role.EXPECTED and (bool(part.get("electrical")) or timed)


def _belongs_to_work(board: Board, item: Claim) -> bool:
    """'added two pounds' is work done; the amount stands there."""
    return any(
        claim.value.amount is not None and claim.value.amount is item.value
        for claim in board.claims
        if claim.label == "work"
    )


def _amount_drafts(
    sentence: Sentence,
    place: int,
    context: Context,
    amount: Amount,
    around: Surroundings,
    quantity: Quantity,
) -> Iterator[Draft]:
    kept: list[Doubt] = []  # doubts that nothing outweighs
    stand, part = sentence.stands[place], sentence.parts.get(place)
    component = component_of(sentence, place, around, part, quantity)
    present = quantity.kind is Kind.VOLTAGE and around.nominal
    if place not in sentence.both and not of_gauges(part):
        said = component is not None and around.component_how == "said"
        named, component = component, place_by_tags(sentence.board, amount, component, quantity.kind, said=said)
        if component != named and component is not None:
            quantity.inferred["component"] = "the words around it"
        if said and component != named and not (component or "").endswith(f" {named}"):  # 'motor': which one
            why = f"The {named} was named, but the words around it speak of the {component}."
            quantity.doubts.append(Doubt("place unsure", why))
    role, other = role_by_tags(sentence.board, amount, role_of(sentence, place, around, quantity.kind, part))
    if other:
        why = f"The words around this number make it {role.value}; the rules say otherwise."
        quantity.doubts.append(Doubt("role unsure", why))  # of 79 such 3 were wrong: not kept where all else is sure
    if stand.cue == GIVEN_BACK:
        why = "It sounds supposed or remembered; only the words around it say that it was read now."
        kept.append(Doubt("maybe no reading", why))
        quantity.doubts.append(kept[-1])
    if stand.cue == BESIDE_PLATE:
        quantity.doubts.append(
            Doubt("role unsure", "One of two numbers beside a plate; the other may be the measured.")
        )
    reading = Reading(
        kind=quantity.kind,
        role=role,
        value=amount.value,
        low=amount.low,
        high=amount.high,
        state=State.PRESENT if present else None,
        unit=quantity.unit,
        component=component,
        equipment=machine_behind(sentence.board, sentence.items, place) or context.equipment,
        phase=sentence.phases[place],
        conditions=all_conditions(sentence, place, context, part),
        trend=sentence.trends.get(place),
        reference=quantity.reference,
        instrument=instrument_for(context.instrument, quantity.kind),
        hedged=amount.hedged,
        inferred=sources_of(quantity, around, component),
        doubts=tuple(quantity.doubts) + tuple(Doubt(code, why) for code, why in amount.doubts),
        alternatives=tuple(quantity.alternatives),
        heard_by=(sentence.board.utterance.heard_by,),
        evidence=evidence_of(sentence, place),
        held_for=how_long(sentence, place, quantity, context),
    )
    reading = with_rivals(reading, sentence.board, amount)
    if not of_gauges(part):
        reading = weighed(reading, sentence.board, amount, possible_kinds(amount, around), kept)
    if place in sentence.both:
        yield from at_points(replace(reading, component=sentence.both[place]), sentence, place, context, around, stand)
    taken_back = sentence.board.tags.over("withdrawn", amount.number_first, amount.number_last).get(TAKEN_BACK, 0.0)
    for draft in at_points(reading, sentence, place, context, around, stand):
        draft.taken_back = 0.0 if amount.repeated else taken_back
        yield draft
