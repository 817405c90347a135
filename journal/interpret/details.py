"""Details of a reading: role, component, conditions, what was inferred, other values of its words."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Doubt, Reading, Role
from journal.domain.unit_table import can_measure
from journal.interpret.amounts import Amount, degree_forms, unit_body
from journal.interpret.board import Board
from journal.interpret.circumstances import conditions_of
from journal.interpret.context import Context
from journal.interpret.document import LOW_CONFIDENCE, STOPS
from journal.interpret.durations import held_seconds
from journal.interpret.markings import Part
from journal.interpret.naming import part_meant
from journal.interpret.numbers import Reader
from journal.interpret.points import Points
from journal.interpret.rivals import rival_values
from journal.interpret.roles import Stand
from journal.interpret.sentence import Sentence
from journal.interpret.surroundings import Quantity, Surroundings
from journal.interpret.topics import topic_hit
from journal.interpret.unsaid import STATIC
from journal.interpret.vocabulary import small_words, table

MOST_ALTERNATIVES = 8
ELECTRICAL = (Kind.VOLTAGE, Kind.CURRENT, Kind.RESISTANCE, Kind.FREQUENCY, Kind.POWER)
INSULATION = ("megaohm", "gigaohm")
OF_THE_SYSTEM = (Kind.SUPERHEAT, Kind.SUBCOOLING, Kind.SATURATION_TEMPERATURE, Kind.MASS)


def sources_of(quantity: Quantity, around: Surroundings, component: str | None) -> tuple[tuple[str, str], ...]:
    """What was not said, with its source: the unit, a component carried over."""
    inferred = dict(quantity.inferred)
    if component is not None and around.component_how == "carried" and component == around.component:
        inferred["component"] = "named before"
    return tuple(inferred.items())


def role_of(sentence: Sentence, place: int, around: Surroundings, kind: Kind, part: Part | None) -> Role:
    board, stand, amount = sentence.board, sentence.stands[place], sentence.items[place].value
    if stand.said and stand.role is Role.EXPECTED:
        return stand.role
    if (part is not None and part.nameplate) or unit_body(amount.unit).get("role"):
        return Role.NAMEPLATE
    if (
        stand.said
        and stand.role is Role.SETTING
        and kind is Kind.PRESSURE
        and stand.cue in table("roles")["setting"]["pulled_down"]
    ):
        return Role.MEASURED  # 'took it down to twenty nine inches': a pump did it, and a gauge was read
    if stand.said and stand.role is not Role.MEASURED:
        return stand.role
    if _is_size(board, amount, stand) or _is_marking(board, around.component, amount, kind):
        return Role.NAMEPLATE
    topic = table("unsaid").get(around.topic or "", {})
    if not stand.said and topic.get("role") and board.word(amount.number_first - 1) in topic["when_led"]:
        return Role(topic["role"])
    hit = topic_hit(sentence, place)
    before = sentence.items[place - 1].last if place else -1
    elsewhere = around.component_how == "carried" and hit is not None and before < hit.first < amount.first
    if not stand.said and around.component is not None and kind is Kind.TEMPERATURE and not elsewhere:
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
    at = amount.last + 1 + (board.word(amount.last + 1) == ",")
    behind = board.owner[at] if at < len(board.pieces) else None
    if _stood(board, amount) is not None:
        return False
    if behind is not None and behind.label == "amount" and behind.first == at:
        return _is_size(board, behind.value, stand)  # '30 amp, 24 volt coil'
    if at > amount.last + 1:
        return False  # 'L2-N 119.8 V, control 26.1 V'
    return (behind is None and board.starts("not sized", at) is not None) or (
        behind is not None and behind.label == "component"
    )


def _is_marking(board: Board, component: str | None, amount: Amount, kind: Kind) -> bool:
    """'fan cap's a five', 'fifty mike plus or minus six percent': what a part is, not what it reads."""
    at = amount.last + 1
    tolerance = board.owner[at] if at < len(board.pieces) else None
    if tolerance is not None and tolerance.label == "tolerance":
        return True
    capacitor = kind is Kind.CAPACITANCE or (component is not None and "capacitor" in component)
    if amount.size:
        return True
    if not capacitor or amount.unit is not None:
        return False
    half = board.owner[amount.first - 2] if amount.first > 1 else None
    joined = half is not None and half.label == "amount" and board.word(amount.first - 1) in small_words("halves_over")
    if joined and half is not None and half.value.key > amount.key:
        return _is_marking(board, component, half.value, kind)  # 'a thirty five plus five'
    return board.word(amount.first - 1) == "a"


def component_of(
    sentence: Sentence, place: int, around: Surroundings, part: Part | None, quantity: Quantity
) -> str | None:
    if part is not None and part.component:
        return part.component
    name = around.component
    amount, board = sentence.items[place].value, sentence.board
    if quantity.kind is Kind.DURATION and name is not None and not table("components")[name].get("electrical"):
        return None  # 'water's at forty and harvest took ninety seconds'
    timed = quantity.kind is Kind.DURATION and sentence.stands[place].role is Role.SETTING
    if timed and name in table("work")["set"]["only"]:
        return name  # 'delay board was at five minutes, turned it to three minutes'
    if unit_body(quantity.unit).get("only_there"):
        return str(unit_body(quantity.unit)["component"])
    behind = board.owner[amount.last + 1] if amount.last + 1 < len(board.pieces) else None
    if behind is not None and behind.label == "component" and _is_size(board, amount, sentence.stands[place]):
        return str(behind.value)
    places: dict[str, str] = unit_body(amount.unit).get("places", {})
    if amount.unit_form in places:
        return places[amount.unit_form]
    if quantity.inferred.get("unit") == STATIC:
        return "ductwork"
    if quantity.kind is Kind.MASS and name not in ("cylinder", "system charge"):
        whole = sentence.stands[place].role in (Role.NAMEPLATE, Role.EXPECTED)
        return "system charge" if whole else None
    if quantity.kind is Kind.CURRENT and _motor_behind_capacitor(sentence, place):
        return around.context.motor or name
    fan = _printed_fan(sentence, place)
    if fan is not None and quantity.kind is Kind.CURRENT:
        return fan
    printed = sentence.stands[place].condition is not None and quantity.kind is Kind.CURRENT
    if printed and sentence.components[place] is None and not (name and table("components")[name].get("turns")):
        return "compressor"  # rated load and locked rotor are of compressors unless a motor was named
    machine = sentence.machines[place]
    if machine is not None and sentence.components[place] is None:
        right_before = machine.how == "before" and _only_verbs(board, machine.claim.last + 1, amount.first)
        degrees = quantity.kind is Kind.TEMPERATURE and right_before  # 'freezer two zero degrees'
        if degrees or quantity.inferred.get("unit") == "machine":
            return machine.claim.value.body.get("air") or name
    if name is None and quantity.kind is Kind.RESISTANCE and has_windings(around.points):
        return _wound_later(board, amount)
    box = _air_of_box(sentence, place, quantity) if around.component_how == "carried" else None
    if box is not None:
        return box
    if name is None:
        implied: str | None = unit_body(quantity.unit).get("component")
        return implied or _air_of_box(sentence, place, quantity)
    data = table("components")[name]
    of_the_unit: str | None = unit_body(quantity.unit).get("component")
    if of_the_unit is not None and data.get("turns"):
        return of_the_unit  # 'pump's running, down to nine hundred microns': no motor has microns
    meant = part_meant(name, around.words, around.context, quantity.kind)
    if meant != name:
        return _coil_of_named(board, amount) or meant if name == "coil" else meant
    if data.get("sensed") and quantity.kind is Kind.RESISTANCE and around.points is None:
        return "sensor"  # 'return air's at ten point two k'
    control = table("components")[name].get("role") == "setting" and sentence.stands[place].role is Role.SETTING
    if around.component_how == "carried" and table("components")[name].get("role") and _in_a_room(sentence, place):
        return None
    if control and quantity.kind in (Kind.TEMPERATURE, Kind.TEMPERATURE_DIFFERENCE):
        return name  # 'thermostat was at thirty eight ... with a four degree differential'
    if around.component_how == "carried" and _of_the_air(sentence, place, quantity):
        air: str | None = data.get("air")
        return air
    if around.component_how == "carried":
        name = _set_or_net(sentence, place, data) or name
    if quantity.kind is Kind.SATURATION_TEMPERATURE and _of_pressure_before(sentence, around):
        return name
    if around.component_how == "carried" or around.waiting:
        implied = unit_body(quantity.unit).get("component")
        if quantity.kind is Kind.RESISTANCE and has_windings(around.points):
            return wound_part(around) or _wound_later(board, amount)
        bare = quantity.kind is Kind.VOLTAGE and around.points is None  # 'across the run cap', or its rating
        return implied or (name if bare or _fits(name, quantity.kind) else _compared(sentence, place, around, quantity))
    return name


def _compared(sentence: Sentence, place: int, around: Surroundings, quantity: Quantity) -> str | None:
    """'the fan's at two amps tag says two and a half': what is printed is of the part just measured."""
    last = around.context.last()
    if last is None or sentence.stands[place].role is not Role.NAMEPLATE or last.reading.kind is not quantity.kind:
        return None
    evidence = last.reading.evidence
    here = evidence is not None and evidence.utterance == sentence.board.utterance.index
    return last.reading.component if here else None


def _air_of_box(sentence: Sentence, place: int, quantity: Quantity) -> str | None:
    """'the freezer's at minus three': the box, whether the machine has a name or not."""
    hit = topic_hit(sentence, place)
    if hit is None or quantity.kind is not Kind.TEMPERATURE:
        return None
    machine = sentence.board.starts("equipment", hit.first)
    told = machine is not None and _only_verbs(sentence.board, machine.last + 1, sentence.items[place].first)
    air: str | None = table("equipment")[machine.name].get("air") if machine is not None and told else None
    return air


def _motor_behind_capacitor(sentence: Sentence, place: int) -> bool:
    """'stuck a new cap on it and the fan's running at two amps': the amps are the motor's."""
    bound = sentence.components[place]
    if bound is None or bound.how != "before" or "capacitor" not in bound.claim.value:
        return False
    between = range(bound.claim.last + 1, sentence.items[place].first)
    return any(sentence.board.word(at) in small_words("fans") for at in between)


def _only_verbs(board: Board, first: int, behind: int) -> bool:
    return all(board.word(at) in table("unsaid")["placing"] for at in range(first, behind))


def _in_a_room(sentence: Sentence, place: int) -> bool:
    """'stat's set at seventy and the den's at seventy eight': the air of a room, not what the stat is set to."""
    hit = topic_hit(sentence, place)
    before = sentence.items[place - 1].last if place else -1
    return hit is not None and hit.name in ("rooms", "display") and before < hit.first < sentence.items[place].first


def _of_the_air(sentence: Sentence, place: int, quantity: Quantity) -> bool:
    """'milk's at forty and the air's at thirty six': the air around the part, not the part."""
    hit = topic_hit(sentence, place)
    before = sentence.items[place - 1].last if place else -1
    said = hit is not None and hit.name == "air" and before < hit.first < sentence.items[place].first
    return said and quantity.kind is Kind.TEMPERATURE


def _set_or_net(sentence: Sentence, place: int, part: dict[str, Any]) -> str | None:
    """'return seventy six set point seventy four' is the thermostat's; a net pressure behind the crankcase's is the
    oil's."""
    hit, item = topic_hit(sentence, place), sentence.items[place]
    before = sentence.items[place - 1].last if place else -1
    if hit is None or not (before < hit.first < item.first or hit.first == item.last + 1):
        return None
    said = sentence.board.word(hit.first) in ("setpoint", "set")
    key = "set_by" if said and sentence.stands[place].role is Role.SETTING else hit.name
    found: str | None = part.get(key) if key in ("set_by", "net") else None
    return found


def _printed_fan(sentence: Sentence, place: int) -> str | None:
    """'compressor r l a thirteen point five ... and the fan is one point four full load': parts a plate calls short."""
    printed = sentence.stands[place].role is Role.NAMEPLATE
    if sentence.components[place] is not None or not (printed or _right_behind_short_name(sentence, place)):
        return None
    board, first = sentence.board, sentence.items[place - 1].last + 1 if place else 0
    between = [board.word(at) for at in range(first, sentence.items[place].first)]
    for name, body in table("components").items():
        if any(form in between for form in body.get("printed", ())):
            return name
    return None


def _right_behind_short_name(sentence: Sentence, place: int) -> bool:
    """'comp 11.2 A, fan 1.4 A': the short name stands right before its number."""
    board, at = sentence.board, sentence.items[place].first - 1
    if board.owner[at] is None and board.word(at) in table("unsaid")["verbs"]["forms"]:
        at -= 1
    short = {form for body in table("components").values() for form in body.get("printed", ())}
    return at >= 0 and board.owner[at] is None and board.word(at) in short


def _of_pressure_before(sentence: Sentence, around: Surroundings) -> bool:
    """'suction's sixty eight psi, saturated forty': what was just read at the same place was its pressure."""
    last = around.context.last()
    if last is None or last.reading.kind is not Kind.PRESSURE or last.reading.component != around.component:
        return False
    evidence = last.reading.evidence
    return evidence is not None and evidence.utterance == sentence.board.utterance.index


def has_windings(points: Points | None) -> bool:
    """Return whether points are ends of a winding, or all of them at once ('each of these to ground')."""
    if points is None:
        return False
    return points.group or any(half[0][0] in ("winding", "motor") for half in points.halves)


def wound_part(around: Surroundings) -> str | None:
    """Return the part whose windings are measured: the one carried over if it has any, else the last that was named."""
    name = around.component
    return name if name is not None and table("components")[name].get("turns") else around.context.motor


def _coil_of_named(board: Board, amount: Amount) -> str | None:
    """'solenoid won't open, coil's nine ohms': the coil of the part named before it."""
    parts = table("components")
    before = (parts[claim.value] for claim in board.labelled("component") if claim.last < amount.first)
    coils = [str(part["coil"]) for part in before if "coil" in part]
    return coils[-1] if coils else None


def _wound_later(board: Board, amount: Amount) -> str | None:
    """'run to start four ohms so the blower motor's fine': the one part with windings that is named behind."""
    parts = table("components")
    names = {c.value for c in board.labelled("component") if c.first > amount.last and parts[c.value].get("turns")}
    return str(names.pop()) if len(names) == 1 else None


def _fits(component: str, kind: Kind) -> bool:
    """Return whether a component that was only carried over can have a reading of this kind."""
    body = table("components")[component]
    units = [entry["unit"] for entry in body.get("unsaid", ())]
    if any(can_measure(unit, kind) for unit in units) or kind.value in body.get("also_has", ()):
        return True
    if kind is Kind.CAPACITANCE or kind in OF_THE_SYSTEM:
        return False
    return bool(body.get("electrical")) == (kind in ELECTRICAL) and "capacitor" not in component


def all_conditions(sentence: Sentence, place: int, context: Context, part: Part | None) -> tuple[str, ...]:
    board, item = sentence.board, sentence.items[place]
    stood = _stood(board, item.value) if item.label == "amount" else None
    found = [stood] if stood is not None else list(conditions_of(board, item) or context.conditions)
    stand = sentence.stands[place]
    for more in (stand.condition, part.condition if part else None):
        if more and more not in found:
            found.append(more)
    return tuple(found)


def _stood(board: Board, amount: Amount) -> str | None:
    """'244 V off, 241 V run,': how the machine stood, noted right behind the voltage."""
    behind = board.word(amount.last + 2)
    ends = behind in STOPS or amount.last + 2 >= len(board.pieces)
    found: dict[str, str] = table("conditions")["stood"]
    return found.get(board.word(amount.last + 1)) if amount.unit == "volt" and ends else None


def how_long(sentence: Sentence, place: int, quantity: Quantity, context: Context) -> Decimal | None:
    """Pressures hold, and so does an insulation under the megger ('it sat there for a minute')."""
    insulation = quantity.unit in INSULATION
    held = quantity.kind is Kind.PRESSURE or insulation
    return held_seconds(sentence.board, sentence.items, place, quantity.unit) if held else None


def with_rivals(reading: Reading, board: Board, amount: Amount) -> Reading:
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
