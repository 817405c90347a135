"""Claims of one utterance become readings: each number or state with its place, role, unit and circumstances.

The order is the sentence's.  What was said counts before what carries over; what carries over is written down as
inferred.  Corrections are applied as they are met, so that the reading they take back is the one just before.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from journal.domain.ids import new_id
from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Doubt, Phase, Reading, Role, State, Trend
from journal.domain.unit_table import can_measure
from journal.interpret.amounts import Amount, degree_forms, unit_body
from journal.interpret.board import Board, Claim
from journal.interpret.circumstances import conditions_of, is_drop, mode_set, phases_of, trends_of
from journal.interpret.context import Context, Draft
from journal.interpret.durations import HELD, duration_use, held_seconds
from journal.interpret.evidence import evidence_of
from journal.interpret.markings import Part, Row, capacitor_markings, gauge_pairs
from journal.interpret.numbers import Reader
from journal.interpret.places import Bound, bind, choose_component, choose_kind, lists_of, only_where
from journal.interpret.points import Points, pairs_of, with_ends
from journal.interpret.rivals import rival_values
from journal.interpret.roles import Stand, clause_of, clause_starts, stands_of
from journal.interpret.states import Shown
from journal.interpret.unsaid import Quantity, Surroundings, control_words, quantity_of
from journal.interpret.vocabulary import table
from journal.interpret.withholding import no_reading

LOW_CONFIDENCE = 0.7
MOST_ALTERNATIVES = 8
ELECTRICAL = (Kind.VOLTAGE, Kind.CURRENT, Kind.RESISTANCE, Kind.FREQUENCY, Kind.POWER)
DENIED = {State.CONTINUITY: State.OPEN, State.PRESENT: State.ABSENT}  # 'not getting any continuity'
OF_THE_SYSTEM = (Kind.SUPERHEAT, Kind.SUBCOOLING, Kind.SATURATION_TEMPERATURE, Kind.MASS)
CONDITIONS_LAST = 120.0  # seconds that 'it's off now' holds for the readings behind it


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


def read_sentence(board: Board, context: Context) -> Sentence:
    """Look at a whole utterance: what its numbers are tied to and how they stand."""
    items = list(board.labelled("amount", "state"))
    lists = lists_of(board, items)
    stands = stands_of(board, items, context.role, context.withheld)
    named_parts = list(board.labelled("component", "kind"))
    parts_said = [claim for claim in board.labelled("component") if not only_where(board, claim, named_parts)]
    components = bind(board, items, parts_said, lists, choose_component(board))
    _share_settings(board, items, stands, components)
    points = bind(board, items, list(board.labelled("points")), lists)
    with_ends(board, items, points)
    kinds = bind(board, items, list(board.labelled("kind")), lists, choose_kind)
    machines = bind(board, items, list(board.labelled("equipment")), lists)
    phases, context.phase = phases_of(board, items, context.phase)
    named = [bound.claim.value if bound else None for bound in components]
    carried, latest = [], context.carried_component()
    for name in named:
        latest = name or latest
        carried.append(latest)
    measured = [stand.said and stand.role is Role.MEASURED for stand in stands]
    gauges = context.gauges_at is not None and context.now - context.gauges_at < 600
    parts = gauge_pairs(board, items, named, gauges or board.has("unsaid"))
    pointed = [bound is not None for bound in points]
    parts |= capacitor_markings(Row(items, carried, measured, pointed))
    return Sentence(
        board, items, lists, stands, components, points, kinds, machines, trends_of(board, items), phases, parts,
        clause_starts(board),
        [claim for claim in board.labelled("component") if claim not in parts_said],
    )  # fmt: skip


def _share_settings(
    board: Board, items: Sequence[Claim], stands: Sequence[Stand], components: list[Bound | None]
) -> None:
    """'cut in twenty eight cut out twelve on the low pressure control': the control behind is of both."""
    for place in range(len(items) - 2, -1, -1):
        after = components[place + 1]
        if components[place] is None and after is not None and after.how in ("behind", "list"):
            if stands[place].role is stands[place + 1].role is Role.SETTING:
                components[place] = Bound(after.claim, "list")


def assemble(board: Board, context: Context) -> None:
    """Turn one utterance into drafts of the context, in the order spoken; apply corrections; carry places over."""
    from journal.interpret.amending import apply_cue, finish_cue

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
                if unit_body(draft.reading.unit).get("component") == draft.reading.component is not None:
                    context.component, context.component_at = draft.reading.component, context.now
                context.waits = (
                    context.waits and draft.said_component is False and draft.reading.component != context.component
                )
        elif label == "correction":
            apply_cue(context, what, board)
        elif label == "mode":
            context.mode = what
        elif label == "equipment":
            context.equipment, context.equipment_entry = what.value.name, what.value.entry
        elif label == "component" and what not in sentence.wheres:
            context.component, context.component_at = what.value, context.now
            context.waits = not any(
                b is not None and b.claim is what and b.how == "behind" for b in sentence.components
            )
    _carry_over(sentence, context)


def _drafts(sentence: Sentence, place: int, context: Context) -> Iterator[Draft]:
    item, stand = sentence.items[place], sentence.stands[place]
    if item.label == "state" and stand.withheld in (None, "negated"):
        yield from _state_drafts(sentence, place, context)
    if item.label == "state" or stand.withheld is not None:
        return
    amount: Amount = item.value
    if no_reading(sentence.board, item) or _belongs_to_work(sentence.board, item):
        return
    around = _surroundings(sentence, place, context)
    part = sentence.parts.get(place)
    if part is not None and part.unit:
        amount = replace(
            amount, unit=part.unit if amount.unit is None or amount.unit.startswith("shared") else amount.unit
        )
        around.component = part.component or around.component
    quantity = quantity_of(amount, around)
    if quantity is None:
        return
    if is_drop(sentence.board, item) and quantity.unit in ("degF", "degC"):
        quantity = replace(quantity, unit=f"delta_{quantity.unit}", kind=Kind.TEMPERATURE_DIFFERENCE)
    if quantity.kind is Kind.DURATION:
        use = duration_use(sentence.board, item, sentence.items, set_=stand.role is Role.SETTING)
        if use == HELD or use is None:
            return
    if part is not None and part.unit:
        quantity.inferred.setdefault("unit", part.why) if sentence.items[place].value.unit is None else None
    yield from _amount_drafts(sentence, place, context, amount, around, quantity, part)


def _belongs_to_work(board: Board, item: Claim) -> bool:
    """'added two pounds' is work done; the amount stands there."""
    return any(
        claim.value.amount is not None and claim.value.amount is item.value
        for claim in board.claims
        if claim.label == "work"
    )


def _surroundings(sentence: Sentence, place: int, context: Context) -> Surroundings:
    board, item = sentence.board, sentence.items[place]
    component, points = sentence.components[place], sentence.points[place]
    carried = context.carried_component()
    clause = clause_of(sentence.walls, item.first)
    ends = [*sentence.walls[1:], len(board.pieces)]
    words = frozenset(piece.text for piece in board.pieces[sentence.walls[clause] : ends[clause]])
    around = Surroundings(board, context, words=words)
    if component is not None:
        around.component, around.component_how = component.claim.value, "said"
    elif carried is not None:
        around.component, around.component_how = carried, "said" if context.waits else "carried"
    last = context.last()
    if around.component is not None and last is not None:
        after = table("components")[around.component].get("after", {})
        around.component = after.get(last.reading.component, around.component)
    if sentence.wheres and any(w.last < item.first and w.first > _end_before(sentence, place) for w in sentence.wheres):
        around.component_how = "said"
    around.points = (
        points.claim.value if points is not None else context.waiting_points() or _points_go_on(sentence, place)
    )
    kind = sentence.kinds[place] or _kind_goes_on(sentence, place)
    around.nominal = item.label == "amount" and _is_nominal(board, item)
    around.acted = sentence.stands[place].acted
    around.led = _is_led(sentence, place, context)
    if kind is not None:
        around.kind = Kind(kind.claim.value)
    elif context.kind is not None and context.now - context.kind_at < 60:
        around.kind = context.kind
    around.machine = sentence.machines[place] is not None and component is None
    around.measured = sentence.stands[place].said
    around.mates = tuple(_mates(sentence, place, around))
    around.topic = _topic(sentence, place, context)
    inherit = context.inherit
    if inherit is not None and inherit.reading.unit is not None:
        around.fallback = (inherit.reading.unit, inherit.reading.kind)
    return around


def _points_go_on(sentence: Sentence, place: int) -> Points | None:
    """'b to c nothing ... twenty six volts': a number behind a state at the same points."""
    before = place - 1
    if before < 0 or sentence.items[before].label != "state" or sentence.components[place] is not None:
        return None
    bound = sentence.points[before]
    same = sentence.items[place].label == "amount" and sentence.items[place].value.unit == "volt"
    return bound.claim.value if bound is not None and same else None


def _kind_goes_on(sentence: Sentence, place: int) -> Bound | None:
    """'superheat's supposed to be eight, it's thirty one': the kind holds for the next number without a unit."""
    item = sentence.items[place]
    if (
        item.label != "amount"
        or item.value.unit is not None
        or not sentence.stands[place].said
        and not _at_place(sentence, place)
    ):
        return None
    if sentence.components[place] is not None:
        return None
    for before in range(place - 1, -1, -1):
        bound = sentence.kinds[before]
        if bound is not None:
            return (
                bound
                if sentence.components[before] is None or bound.claim.value in ("superheat", "subcooling")
                else None
            )
    return None


def _end_before(sentence: Sentence, place: int) -> int:
    return sentence.items[place - 1].last if place else -1


def _at_place(sentence: Sentence, place: int) -> bool:
    after = _end_before(sentence, place)
    return any(sentence.board.word(at) == "at" for at in range(after + 1, sentence.items[place].first))


def _is_led(sentence: Sentence, place: int, context: Context) -> bool:
    """A number of the same utterance was a reading, and 'and', 'at', 'to' or a comma leads to this one."""
    last = context.last()
    here = last is not None and last.reading.evidence is not None
    if last is None or not here or last.reading.evidence.utterance != sentence.board.utterance.index:  # type: ignore[union-attr]
        return False
    before = sentence.board.word(sentence.items[place].first - 1)
    return before in table("unsaid")["leading"]


def _mates(sentence: Sentence, place: int, around: Surroundings) -> Iterator[tuple[str, Kind]]:
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
    if place + 1 < len(sentence.items) and (_corrected_by_next(sentence, place) or _moves_to_next(sentence, place)):
        following = sentence.items[place + 1]
        if following.label == "amount" and following.value.unit is not None:
            found = quantity_of(following.value, replace(around, mates=()))
            if found is not None:
                yield found.unit, found.kind
        else:
            yield from _mates(sentence, place + 1, around)
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
        sentence.board.text(item.last + 1, following.first - 1) in ("to", "up to", "down to")
        and following.first - item.last <= 3
    )


def _topic(sentence: Sentence, place: int, context: Context) -> str | None:
    board, item = sentence.board, sentence.items[place]
    before = [hit for hit in board.hits.get("unsaid", ()) if hit.last < item.first]
    if before:
        return max(before, key=lambda hit: hit.last).name
    end = max(
        (i.last for i, n in zip(sentence.items, sentence.lists, strict=True) if n == sentence.lists[place]),
        default=item.last,
    )
    behind = [hit for hit in board.hits.get("unsaid", ()) if end < hit.first <= end + 4]
    if behind:
        return behind[0].name
    return context.topic if context.now - context.topic_at < 60 else None


def _amount_drafts(
    sentence: Sentence, place: int, context: Context, amount: Amount, around: Surroundings, quantity: Quantity, part: Part | None
) -> Iterator[Draft]:  # fmt: skip
    stand = sentence.stands[place]
    component = _component(sentence, place, around, part, quantity)
    present = quantity.kind is Kind.VOLTAGE and around.nominal
    reading = Reading(
        kind=quantity.kind,
        role=_role(sentence, place, around, quantity.kind, part),
        value=amount.value,
        low=amount.low,
        high=amount.high,
        state=State.PRESENT if present else None,
        unit=quantity.unit,
        component=component,
        equipment=context.equipment,
        phase=sentence.phases[place],
        conditions=_conditions(sentence, place, context, part),
        trend=sentence.trends.get(place),
        reference=quantity.reference,
        instrument=context.instrument,
        hedged=amount.hedged,
        inferred=_inferred(quantity, around, component),
        doubts=tuple(quantity.doubts) + tuple(Doubt(code, why) for code, why in amount.doubts),
        alternatives=tuple(quantity.alternatives),
        heard_by=(sentence.board.utterance.heard_by,),
        evidence=evidence_of(sentence, place),
        held_for=_held_for(sentence, place, quantity, context),
    )
    reading = _with_rivals(reading, sentence.board, amount)
    yield from _placed(reading, sentence, place, context, around, stand)


def _inferred(quantity: Quantity, around: Surroundings, component: str | None) -> tuple[tuple[str, str], ...]:
    """What was not said, with its source: the unit, a component carried over."""
    inferred = dict(quantity.inferred)
    if component is not None and around.component_how == "carried" and component == around.component:
        inferred["component"] = "named before"
    return tuple(inferred.items())


def _role(sentence: Sentence, place: int, around: Surroundings, kind: Kind, part: Part | None) -> Role:
    board, stand, amount = sentence.board, sentence.stands[place], sentence.items[place].value
    if (part is not None and part.nameplate) or unit_body(amount.unit).get("role"):
        return Role.NAMEPLATE
    if stand.said and stand.role is not Role.MEASURED:
        return stand.role
    if _is_size(board, amount, stand) or _is_marking(board, around.component, amount):
        return Role.NAMEPLATE
    if not stand.said and around.component is not None and kind is Kind.TEMPERATURE:
        return Role(table("components")[around.component].get("role", stand.role))
    return stand.role


def _is_size(board: Board, amount: Amount, stand: Stand) -> bool:
    """'thirty amp breaker', 'a twenty four volt coil': the unit stands in the singular right before a part."""
    unit = amount.unit or ""
    nominal = unit_body(unit).get("nominal") or (unit.startswith("shared") and amount.unit_form not in degree_forms())
    article = board.word(amount.first - 1) in ("a", "an")
    if (stand.said and not article) or not nominal or amount.form == "range":
        return False
    if not amount.unit_form or amount.unit_form.endswith("s"):
        return False
    at = amount.last + 1
    behind = board.owner[at] if at < len(board.pieces) else None
    return (behind is None and board.starts("not sized", at) is not None) or (
        behind is not None and behind.label == "component"
    )


def _is_marking(board: Board, component: str | None, amount: Amount) -> bool:
    """'fan cap's a five', 'fifty mike plus or minus six percent': what a part is, not what it reads."""
    at = amount.last + 1
    tolerance = board.owner[at] if at < len(board.pieces) else None
    if tolerance is not None and tolerance.label == "tolerance":
        return True
    capacitor = component is not None and "capacitor" in component
    if amount.size:
        return True
    return capacitor and amount.unit is None and board.word(amount.first - 1) == "a"


def _component(
    sentence: Sentence, place: int, around: Surroundings, part: Part | None, quantity: Quantity
) -> str | None:
    if part is not None and part.component:
        return part.component
    name = around.component
    amount, board = sentence.items[place].value, sentence.board
    behind = board.owner[amount.last + 1] if amount.last + 1 < len(board.pieces) else None
    if behind is not None and behind.label == "component" and _is_size(board, amount, sentence.stands[place]):
        return str(behind.value)
    if quantity.kind is Kind.MASS and name not in ("cylinder", "system charge"):
        return "system charge" if sentence.stands[place].role is Role.NAMEPLATE else None
    if name is None:
        implied: str | None = unit_body(quantity.unit).get("component")
        return implied
    data = table("components")[name]
    for words, other in data.get("becomes", {}).items():
        if words in around.words or quantity.kind.value == words:
            return str(other)
    if around.component_how == "carried":
        implied = unit_body(quantity.unit).get("component")
        bare = quantity.kind is Kind.VOLTAGE and around.points is None  # 'across the run cap', or its rating
        return implied or (name if bare or _fits(name, quantity.kind) else None)
    return name


def _fits(component: str, kind: Kind) -> bool:
    """Return whether a component that was only carried over can have a reading of this kind."""
    body = table("components")[component]
    units = [entry["unit"] for entry in body.get("unsaid", ())]
    if any(can_measure(unit, kind) for unit in units) or kind.value in body.get("also_has", ()):
        return True
    if kind is Kind.CAPACITANCE or kind in OF_THE_SYSTEM:
        return False
    return bool(body.get("electrical")) == (kind in ELECTRICAL) and "capacitor" not in component


def _conditions(sentence: Sentence, place: int, context: Context, part: Part | None) -> tuple[str, ...]:
    found = list(conditions_of(sentence.board, sentence.items[place]) or context.conditions)
    stand = sentence.stands[place]
    for more in (stand.condition, part.condition if part else None):
        if more and more not in found:
            found.append(more)
    return tuple(found)


def _is_nominal(board: Board, item: Claim) -> bool:
    """'got my twenty four at the coil': the voltage is there; 24 V is its name, not what the meter shows."""
    amount: Amount = item.value
    mine = board.word(item.first - 1) in table("unsaid")["possessives"]
    return mine and amount.unit in (None, "volt") and amount.value in table("unsaid")["nominal_volts"]


def _held_for(sentence: Sentence, place: int, quantity: Quantity, context: Context) -> Decimal | None:
    return held_seconds(sentence.board, sentence.items, place) if quantity.kind is Kind.PRESSURE else None


def _with_rivals(reading: Reading, board: Board, amount: Amount) -> Reading:
    """Add other values: of other groupings, of words that sound alike, of the recogniser's other hypotheses."""
    alternatives, doubts = list(reading.alternatives), list(reading.doubts)
    known = {reading.value} | {a.value for a in alternatives if a.value is not None}
    for value, why in amount.rivals:
        if value not in known and len(alternatives) < MOST_ALTERNATIVES:
            known.add(value)
            alternatives.append(Alternative(value=value, why=why))
    pieces = board.pieces[amount.number_first : amount.number_last + 1]
    body = unit_body(reading.unit)
    reader = Reader(board.pieces, bool(body.get("tenths")))
    heard = list(dict.fromkeys(rival_values(board.utterance, pieces[0].word, pieces[-1].word, reader)))
    for value in (value for value in heard if value != reading.value):
        sounds = any(value == other and "sound alike" in why for other, why in amount.rivals)
        code = "confusable" if sounds else "rival hearing"
        doubts.append(Doubt(code, f"The recogniser also thought of {value}."))
        if value not in known:
            known.add(value)
            alternatives.insert(0, Alternative(value=value, why="another hearing of the same words"))
    lowest = min(piece.confidence for piece in pieces)
    if lowest < LOW_CONFIDENCE:
        doubts.append(Doubt("low confidence", "The recogniser was not sure of the number's words."))
    unique = {doubt.code: doubt for doubt in reversed(doubts)}
    return replace(
        reading, alternatives=tuple(alternatives[:MOST_ALTERNATIVES]), doubts=tuple(reversed(unique.values()))
    )


def _placed(
    reading: Reading, sentence: Sentence, place: int, context: Context, around: Surroundings, stand: Stand
) -> Iterator[Draft]:
    """Yield the reading at its points, once for each when several were named together."""
    part = sentence.parts.get(place)
    said = sentence.points[place]
    points = around.points
    base = {
        "at": context.now, "said_unit": "unit" not in dict(reading.inferred), "said_points": points,
        "said_component": sentence.components[place] is not None, "said_role": stand.said and stand.role is not Role.MEASURED,
    }  # fmt: skip
    if part is not None and part.points:
        yield Draft(replace(reading, points=part.points, id=new_id()), **base)
        return
    if points is None:
        yield Draft(replace(reading, id=new_id()), **base)
        return
    if said is None:
        context.points = None
        if points is not None and not points.same:
            reading = replace(reading, inferred=(*reading.inferred, ("points", "named before")))
    if points.same:
        yield Draft(replace(reading, points=context.last_points, id=new_id()), **base)
        return
    number = reading.value if reading.value is not None else reading.high
    control = control_words(around) and (number is None or number < 60)
    for pair in pairs_of(
        points, reading.kind, number if not control else min(number or Decimal(0), Decimal(59)), _members(context)
    ):
        names = pair
        if points.there and context.last_points:
            names = (context.last_points[-1], *pair)
        elif context.to_ground and len(pair) == 1 and pair[0] != "ground" and not points.side:
            names = (*pair, "ground")
        yield Draft(replace(reading, points=names, id=new_id()), **base)
        context.last_points = names


def _members(context: Context) -> tuple[str, ...]:
    """The points that 'each of these' means: those of the readings just taken."""
    recent = [point for draft in context.drafts[-6:] for point in draft.reading.points]
    for family in (("L1", "L2", "L3"), ("T1", "T2", "T3")):
        if any(point in family for point in recent):
            return tuple(point for point in family if point in recent)
    return ("common", "run", "start")


def _state_drafts(sentence: Sentence, place: int, context: Context) -> Iterator[Draft]:
    shown: Shown = sentence.items[place].value
    around = _surroundings(sentence, place, context)
    stand = sentence.stands[place]
    electrical = around.component is not None and bool(table("components")[around.component].get("electrical"))
    said = (
        sentence.components[place] is not None
        or sentence.points[place] is not None
        or context.waiting_points() is not None
    )
    pointed = around.points is not None
    inherit = context.inherit is not None or around.topic == "windings"
    if (
        not (pointed or (electrical and (said or not shown.electrical)))
        and not inherit
        and not _list_of_readings(sentence, place)
    ):
        return
    if shown.electrical and not pointed and not _stands_close(sentence, place):
        return
    state, kind = shown.state, shown.kind
    if stand.withheld == "negated":
        if state not in DENIED:
            return
        state = DENIED[state]
    if state is State.ABSENT and kind is Kind.VOLTAGE and _means_open(around, context):
        state, kind = State.OPEN, Kind.RESISTANCE
    if around.component in ("capacitor", "run capacitor", "dual capacitor") and state is State.ABSENT:
        return
    reading = Reading(
        kind=kind, role=stand.role, state=state, component=around.component, equipment=context.equipment,
        phase=sentence.phases[place], conditions=_conditions(sentence, place, context, None),
        trend=None, heard_by=(sentence.board.utterance.heard_by,), evidence=evidence_of(sentence, place),
        instrument=context.instrument,
    )  # fmt: skip
    yield from _placed(reading, sentence, place, context, around, stand)


def _list_of_readings(sentence: Sentence, place: int) -> bool:
    """'eight point one eight point two and open': a state at the end of a list of numbers."""
    return (
        place > 0 and sentence.lists[place] == sentence.lists[place - 1] and sentence.items[place - 1].label == "amount"
    )


def _stands_close(sentence: Sentence, place: int) -> bool:
    """'contactor coil's open', not 'the disconnect ... leave it open'."""
    bound = sentence.components[place]
    item = sentence.items[place]
    if bound is None:
        return _list_of_readings(sentence, place)
    gap = item.first - bound.claim.last if bound.how == "before" else bound.claim.first - item.last
    between = range(bound.claim.last + 1, item.first)
    verbs = set(table("unsaid")["verbs"]["forms"]) | {"all", "both", "wide", "still", "now", "dead"}
    return bound.how != "before" or gap == 1 or (gap <= 4 and all(sentence.board.word(at) in verbs for at in between))


def _means_open(around: Surroundings, context: Context) -> bool:
    if context.mode is Kind.RESISTANCE:
        return True
    points = around.points
    if points is None or context.mode is Kind.VOLTAGE:
        return False
    families = [{family for family, _ in half} for half in points.halves]
    return any("winding" in family and "control" not in family for family in families) or (
        len(families) == 1 and families[0] == {"any"}
    )


def _put_right(board: Board, claim: Claim) -> bool:
    """The points only corrected the ones named before: 'scratch that i'm on start'."""
    single = len(claim.value.halves) == 1 and not claim.value.side
    return single and any(c.last < claim.first <= c.last + 4 for c in board.labelled("correction"))


def _read_here(sentence: Sentence, context: Context) -> bool:
    """Return whether this utterance gave a reading."""
    last = context.drafts[-1].reading.evidence if context.drafts else None
    utterance = sentence.board.utterance
    return last is not None and (last.recording, last.utterance) == (utterance.recording, utterance.index)


def _carry_over(sentence: Sentence, context: Context) -> None:
    """Keep what was named and got no number yet: a place, a kind, a role; forget what was used."""
    board, items = sentence.board, sentence.items
    last_item = items[-1].last if items else -1
    bound = {id(b.claim) for b in sentence.points if b is not None}
    waiting = [
        claim
        for claim in board.labelled("points")
        if claim.first > last_item and id(claim) not in bound and not _put_right(board, claim)
    ]
    if waiting:
        context.points, context.points_at = waiting[-1].value, context.now
    elif _read_here(sentence, context):
        context.points = None
    kinds = [claim for claim in board.labelled("kind") if claim.first > last_item]
    context.kind = Kind(kinds[-1].value) if kinds and not items and len(board.pieces) <= 6 else None
    context.kind_at = context.now
    topics = [hit for hit in board.hits.get("unsaid", ())]
    if topics:
        context.topic, context.topic_at = topics[-1].name, context.now
        if topics[-1].name == "gauges":
            context.gauges_at = context.now
    elif board.claims and any(claim.label in ("component", "points") for claim in board.claims):
        context.topic = None
    if any(claim.value.group for claim in board.labelled("points") if isinstance(claim.value, Points)) and not items:
        context.to_ground, context.points = True, None
    elif _read_here(sentence, context) and "ground" not in context.last_points:
        context.to_ground = False
    said = conditions_of(board, Claim("", len(board.pieces), len(board.pieces), None, "")) if not items else ()
    if said:
        context.conditions, context.conditions_at = said, context.now
    elif context.now - context.conditions_at > CONDITIONS_LAST:
        context.conditions = ()
    pending = (
        stands_of(board, [Claim("amount", len(board.pieces), len(board.pieces), None, "")]) if board.pieces else []
    )
    context.role = context.withheld = None
    if pending and not items:
        context.withheld = pending[0].withheld if pending[0].withheld == "supposed" else None
        if pending[0].said and pending[0].role is not Role.MEASURED and len(board.pieces) <= 8:
            context.role = pending[0].role
