"""Details of a reading: role, conditions, what was inferred, other values of its words."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Doubt, Reading, Role
from journal.interpret.board import Board
from journal.interpret.context import Context
from journal.interpret.document import LOW_CONFIDENCE, STOPS
from journal.interpret.numbers.amounts import Amount, degree_forms, unit_body
from journal.interpret.numbers.markings import Part
from journal.interpret.numbers.numbers import Reader
from journal.interpret.numbers.rivals import rival_values
from journal.interpret.quantities.surroundings import Quantity, Surroundings
from journal.interpret.quantities.topics import topic_hit
from journal.interpret.sentence import Sentence
from journal.interpret.standing.circumstances import conditions_of
from journal.interpret.standing.derived import from_plate
from journal.interpret.standing.durations import held_seconds
from journal.interpret.standing.printed import is_called
from journal.interpret.standing.reckoning import worked_out_from_plate
from journal.interpret.standing.roles import Stand
from journal.interpret.vocabulary import small_words, table

MOST_ALTERNATIVES = 8
INSULATION = ("megaohm", "gigaohm")


def sources_of(quantity: Quantity, around: Surroundings, component: str | None) -> tuple[tuple[str, str], ...]:
    """What was not said, with its source: the unit, a component carried over."""
    inferred = dict(quantity.inferred)
    if component is not None and around.component_how == "carried" and component == around.component:
        inferred["component"] = "named before"
    return tuple(inferred.items())


def role_of(sentence: Sentence, place: int, around: Surroundings, kind: Kind, part: Part | None) -> Role:
    board, stand, amount = sentence.board, sentence.stands[place], sentence.items[place].value
    if stand.role in (Role.MEASURED, Role.NAMEPLATE) and from_plate(board, amount, kind, around.context):
        return Role.EXPECTED
    if kind is Kind.SATURATION_TEMPERATURE and "chart" in stand.cue:
        return Role.MEASURED  # 'the chart says that's ninety four': of the pressure that was read
    if stand.said and stand.role is Role.EXPECTED:
        return stand.role
    if (part is not None and part.nameplate) or unit_body(amount.unit).get("role"):
        return Role.NAMEPLATE
    if (
        stand.said
        and stand.role is Role.SETTING
        and kind is Kind.PRESSURE
        and (stand.cue in table("roles")["setting"]["pulled_down"] or _filled(around.component, stand.cue))
    ):
        return Role.MEASURED  # 'took it down to twenty nine inches': a pump did it, and a gauge was read
    if kind is Kind.DURATION and board.word(amount.first - 1) in small_words("took"):
        return Role.MEASURED  # 'it terminates at fifty seven and the whole defrost took six minutes'
    if stand.said and stand.role is not Role.MEASURED:
        return stand.role
    if worked_out_from_plate(board, amount, kind, around.context):
        return Role.EXPECTED
    if is_size(board, amount, stand) or _is_marking(board, around.component, amount, kind):
        return Role.NAMEPLATE
    topic = table("unsaid").get(around.topic or "", {})
    if not stand.said and topic.get("role") and board.word(amount.number_first - 1) in topic["when_led"]:
        return Role(topic["role"])
    hit = topic_hit(sentence, place)
    before = sentence.items[place - 1].last if place else -1
    elsewhere = around.component_how == "carried" and hit is not None and before < hit.first < amount.first
    told = around.component_how == "carried" and place > 0 and board.word(amount.first - 1) != "to"
    # 'he's got the stat set at seventy two, it says sixty six'
    if not stand.said and around.component is not None and kind is Kind.TEMPERATURE and not elsewhere and not told:
        return Role(table("components")[around.component].get("role", stand.role))
    return stand.role


def _filled(component: str | None, cue: str) -> bool:
    """'took it up to four hundred', of nitrogen: it was let in and read on a gauge, whatever moves a setting too."""
    return component in table("not_readings")["held_at"] and "set" not in cue


def is_size(board: Board, amount: Amount, stand: Stand) -> bool:
    """'thirty amp breaker', 'a twenty four volt coil': the unit stands in the singular right before a part."""
    unit = amount.unit or ""
    nominal = unit_body(unit).get("nominal") or (unit.startswith("shared") and amount.unit_form not in degree_forms())
    article = board.word(amount.first - 1) in table("numbers")["articles"]
    if (stand.said and not article) or not nominal or amount.form == "range":
        return False
    if not amount.unit_form or amount.unit_form.endswith("s"):
        return False
    at = amount.last + 1 + (board.word(amount.last + 1) == ",")
    behind = board.owner[at] if at < len(board.pieces) else None
    if _stood(board, amount) is not None:
        return False
    if behind is not None and behind.label == "amount" and behind.first == at:
        return is_size(board, behind.value, stand)  # '30 amp, 24 volt coil'
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
    if amount.size or is_called(board, amount):
        return True
    if not capacitor or amount.unit is not None:
        return False
    half = board.owner[amount.first - 2] if amount.first > 1 else None
    joined = half is not None and half.label == "amount" and board.word(amount.first - 1) in small_words("halves_over")
    if joined and half is not None and half.value.key > amount.key:
        return _is_marking(board, component, half.value, kind)  # 'a thirty five plus five'
    return board.word(amount.first - 1) == "a"


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
