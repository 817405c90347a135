"""Where the unit of a number comes from when it was not said: list, kind, place, mode, neighbours."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from journal.domain.kind import Kind
from journal.domain.reading import Doubt
from journal.domain.unit_table import unit_table
from journal.interpret.numbers.amounts import Amount, unit_body
from journal.interpret.quantities.felt import from_outside, of_a_room
from journal.interpret.quantities.surroundings import DIFFERENCES, Quantity, Surroundings, by_mode, electrical, kind_for
from journal.interpret.quantities.unit_doubts import CLOSE, far_from_mate, wanted_here, with_second
from journal.interpret.quantities.unsaid_points import from_points
from journal.interpret.quantities.unsaid_volts import mains_at_part, near_usual
from journal.interpret.vocabulary import small_words, table

JUST_WEIGHED = 30.0  # seconds from a weight to what the plate says of it
FEW_WORDS = 8  # words of an utterance that says no more than what the plate says
LINE_VOLTS = Decimal(90)  # from here on, a number at the line or load side is volts
STATIC_BELOW = 2  # inches of water that a duct has at most
COMPARED = "reading compared with"  # where a number has its unit from that stands against the reading before
STATIC = "static before"  # where such a number has its unit from


def from_mates(amount: Amount, around: Surroundings) -> Quantity | None:
    own = _own_temperature(amount, around) or _goes_through(amount, around)
    for unit, kind in around.mates:
        if own and kind in DIFFERENCES:
            continue  # 'supply fifty seven nineteen degree split'
        if kind is Kind.FREQUENCY and near_usual(amount):
            continue  # 'two thirty eight and sixty hertz'
        return Quantity(unit, kind, {"unit": "list"})
    return None


def _own_temperature(amount: Amount, around: Surroundings) -> bool:
    """The number's own place was said and has temperatures."""
    if around.component_how != "said" or around.component is None or around.kind is not None:
        return False
    entry = _by_entries(table("components")[around.component].get("unsaid", ()), amount)
    return entry is not None and entry["unit"] == "degF"


def _goes_through(amount: Amount, around: Surroundings) -> bool:
    """'drop across the drier four degrees ninety six going in': one end of a difference."""
    board, behind = around.board, amount.last + 1
    bare = board.word(behind) in small_words("ways") and board.word(behind + 1) not in small_words("determiners")
    return bare or board.text(behind, behind + 1) in table("unsaid")["ways_through"]


def from_kind(amount: Amount, around: Surroundings) -> Quantity | None:
    if around.kind is None:
        return None
    if around.kind is Kind.TEMPERATURE_DIFFERENCE and _goes_through(amount, around):
        return Quantity("degF", Kind.TEMPERATURE, {"unit": "end of a difference"})
    if around.kind is Kind.SATURATION_TEMPERATURE and around.component in table("not_readings")["held_at"]:
        return None  # 'the vacuum sat at six hundred' only stayed there
    if around.kind is Kind.PRESSURE and around.component is not None:
        place = _by_entries(table("components")[around.component].get("unsaid", ()), amount)
        if place is not None and Kind.PRESSURE in unit_table()[place["unit"]].kinds:
            return Quantity(place["unit"], Kind.PRESSURE, {"unit": f"{around.component}"})
    last = around.context.last()
    if around.kind is Kind.PRESSURE and around.component is None and last is not None and _goes_on(amount, around):
        return Quantity(last.reading.unit or "", last.reading.kind, {"unit": "reading before"})
    unit: str = table("kinds")[around.kind.value]["unit"]
    if around.kind is Kind.PRESSURE and 0 < amount.key < STATIC_BELOW and amount.key != int(amount.key):
        return _of_air(around)
    named = around.context.kind is not None or any(True for _ in around.board.labelled("kind"))
    return Quantity(unit, around.kind, {"unit": f"'{around.kind.value}'" if named else COMPARED})


def _of_air(around: Surroundings) -> Quantity:
    """'pressure switch on the inducer closes at point six five': no gauge is read in parts of a pound."""
    found = Quantity("inch_H2O", Kind.PRESSURE, {"unit": "size of the number"})
    if not any(piece.text in small_words("drafts") for piece in around.board.pieces):
        found.doubts.append(Doubt("unit inferred", "No unit was said; so small a pressure is one of air or gas."))
    return found


def _goes_on(amount: Amount, around: Surroundings) -> bool:
    """'pressure's point six inches now, it was point three': a pressure of the size and the unit just said."""
    last = around.context.last()
    reading = last.reading if last is not None else None
    if reading is None or reading.kind is not Kind.PRESSURE or reading.value is None or reading.evidence is None:
        return False
    here = reading.evidence.utterance == around.board.utterance.index
    return here and bool(reading.value) and reading.value / CLOSE <= amount.key <= reading.value * CLOSE


def from_static(amount: Amount, around: Surroundings) -> Quantity | None:
    """'static is minus point two ahead of the filter' ... 'minus point five behind it': on along the duct."""
    last, broken = around.context.last(), amount.value is not None and amount.value != int(amount.value)
    if last is None or last.reading.unit != "inch_H2O" or last.reading.component != "ductwork" or not broken:
        return None
    if around.kind not in (None, Kind.PRESSURE) or around.topic == "draw" or abs(amount.key) >= STATIC_BELOW:
        return None
    name = around.component
    ducted = name is None or bool(table("components")[name].get("ducted"))
    placed = around.component_how == "said" or around.words & set(table("unsaid")["along_duct"])
    return Quantity("inch_H2O", Kind.PRESSURE, {"unit": STATIC}) if ducted and placed else None


def from_other_end(amount: Amount, around: Surroundings) -> Quantity | None:
    """'one ninety parts per million going in, five hundred in the pan': the unit of what goes in, at the other end."""
    last, board = around.context.last(), around.board
    if not around.went_in or last is None or last.reading.unit is None or around.component is None:
        return None
    own = _by_entries(table("components")[around.component].get("unsaid", ()), amount)
    size = last.reading.value
    if own is not None or not size or not abs(size) / CLOSE <= abs(amount.key) <= abs(size) * CLOSE:
        return None
    evidence = last.reading.evidence
    here = evidence is not None and evidence.utterance == board.utterance.index
    return Quantity(last.reading.unit, last.reading.kind, {"unit": "reading before"}) if here else None


def from_place(amount: Amount, around: Surroundings) -> Quantity | None:
    if (
        table("unsaid").get(around.topic or "", {}).get("whatever")
        and (found := from_topic(amount, around)) is not None
    ):
        return found  # 'the pump's running warm at one ten'
    drawn = around.board.word(amount.first - 1) in table("unsaid")["draw"]["forms"]  # 'l two's pulling nine'
    if around.topic == "draw" and electrical(around.component) and (around.points is None or drawn):
        return from_topic(amount, around)
    held = _held(amount, around)
    if held is not None:
        return held
    if around.component_how != "said" and table("unsaid").get(around.topic or "", {}).get("meter"):
        return from_topic(amount, around)  # 'blower's set for nine hundred cfm and my hood finds eight forty'
    mode = around.context.mode
    entries = table("components")[around.component].get("unsaid", ()) if around.component else ()
    entry = _by_entries(entries, amount)
    if (
        around.component_how == "said"
        and electrical(around.component)
        and mode is None
        and from_outside(around, amount)
    ):
        return Quantity("degF", Kind.TEMPERATURE, {"unit": "outside of a part"})
    if around.component is not None and electrical(around.component) and mains_at_part(amount, around):
        return Quantity("volt", Kind.VOLTAGE, {"unit": "size of the number"})
    previous = around.context.last()
    if around.points is not None and around.points.both and previous is not None and previous.reading.unit is not None:
        return Quantity(previous.reading.unit, previous.reading.kind, {"unit": "reading before"})
    if around.points is not None and around.points.halves:
        return from_points(amount, around, entry)
    if around.points is not None and around.points.side and (mode is not None or amount.key >= LINE_VOLTS):
        return by_mode(mode or Kind.VOLTAGE)
    if entry is not None and around.component_how == "said":
        kinds = unit_table()[entry["unit"]].kinds
        own = "capacitor" in (around.component or "") or around.printed  # what is printed no meter shows
        if mode is not None and mode not in kinds and electrical(around.component) and not own:
            return by_mode(mode)
        return far_from_mate(entry, amount, around) or with_second(entry, around)
    if entry is not None and "capacitor" in (around.component or "") and around.board.word(amount.first - 1) == "a":
        return with_second(entry, around)
    if entry is not None and "capacitor" in (around.component or "") and around.measured:
        return with_second(entry, around)
    if around.component_how == "carried" and electrical(around.component) and of_a_room(around, amount):
        return from_topic(amount, around)
    placed = around.component_how == "said" or around.measured or around.machine or around.clamped
    if mode is not None and placed and (around.component is None or electrical(around.component)):
        return by_mode(mode)
    if around.machine and amount.key < unit_body("degF")["up_to"]:
        return Quantity("degF", Kind.TEMPERATURE, {"unit": "machine"})
    opened = amount.first == 1 and around.board.word(0) in small_words("it")  # 'it's thirty nine with the door open'
    if entry is not None and (around.measured or opened) and around.component_how == "carried":
        return wanted_here(with_second(entry, around), amount, around)
    return None


def _held(amount: Amount, around: Surroundings) -> Quantity | None:
    """'valved it off and the gauge says six ten': of the vacuum that was spoken of."""
    name = around.component
    if around.component_how == "said" or name is None or name not in table("not_readings")["held_at"]:
        return None
    entry = _by_entries(table("components")[name].get("unsaid", ()), amount)
    return with_second(entry, around) if entry is not None and around.topic == "gauge" else None


def _by_entries(entries: Sequence[dict[str, Any]], amount: Amount) -> dict[str, Any] | None:
    for entry in entries:
        if "above" in entry and amount.key < entry["above"]:
            continue
        if "below" in entry and amount.key >= entry["below"]:
            continue
        return entry
    return None


def from_topic(amount: Amount, around: Surroundings) -> Quantity | None:
    if around.topic is None:
        return None
    mode = around.context.mode
    body = table("unsaid")[around.topic]
    entry = _by_entries(body["unsaid"], amount)
    led = around.board.word(amount.first - 1)
    if entry is None or ("when_led" in body and amount.value is not None and led not in body["when_led"]):
        return None
    if mode is not None and around.topic == "legs":
        return by_mode(mode)
    found = Quantity(entry["unit"], kind_for(entry["unit"], None), {"unit": f"'{around.topic}'"})
    if body.get("doubted") or around.words & set(body.get("doubted_beside", ())):
        found.doubts.append(Doubt("unit inferred", f"No unit was said; '{around.topic}' makes it likely."))
    return found


def from_charge(amount: Amount, around: Surroundings) -> Quantity | None:
    """'got back eleven pounds and it's supposed to hold fifteen': what a system holds is weighed like what came out."""
    board, printed = around.board, around.printed or around.expected
    held = board.word(amount.first - 1) in small_words("holds_charge")
    if _plate_after_weighing(amount, around):
        doubt = Doubt("unit inferred", "No unit was said; refrigerant was weighed just before.")
        return Quantity("pound", Kind.MASS, {"unit": "charge weighed"}, [doubt])
    if not printed or not held or around.component_how == "said":
        return None
    weighed = [claim.value.amount for claim in board.labelled("work") if claim.value.amount is not None]
    last = around.context.last()
    mass = last is not None and last.reading.kind is Kind.MASS
    return Quantity("pound", Kind.MASS, {"unit": "charge weighed"}) if weighed or mass else None


def _plate_after_weighing(amount: Amount, around: Surroundings) -> bool:
    """'recovered six pounds two' ... 'tag says seven': the plate's charge, with nothing else named on it."""
    context = around.context
    recent = context.weighed_at is not None and 0 <= context.now - context.weighed_at < JUST_WEIGHED
    plain = around.component_how != "said" and around.points is None and around.kind is None and around.topic is None
    alone = len(around.board.pieces) <= FEW_WORDS and amount.value is not None and amount.form != "range"
    return recent and around.printed and plain and alone


def from_act(amount: Amount, around: Surroundings) -> Quantity | None:
    """'broke at nine, made at twenty eight': controls act on pressure, unless another was named."""
    if not around.acted or around.component_how == "said" or table("unsaid").get(around.topic or "", {}).get("acts"):
        return None
    if any(around.board.word(at) in small_words("by_heat") for at in range(amount.first)):
        return Quantity("degF", Kind.TEMPERATURE, {"unit": "a limit that acts"})  # 'fan limit opened at one ninety'
    return Quantity("psi", Kind.PRESSURE, {"unit": "a control that acts"})


def from_withdrawn(amount: Amount, around: Surroundings) -> Quantity | None:
    """'five point four amps no that can't be ... okay it's point five four': no other place was named for it."""
    if around.fallback is None or around.component_how == "said" or not around.restarted:
        return None
    return from_correction(amount, around)


def from_correction(amount: Amount, around: Surroundings) -> Quantity | None:
    if around.fallback is None and around.denied is not None:
        return Quantity(*around.denied, {"unit": "number denied"})
    if around.fallback is None:
        return None
    return Quantity(around.fallback[0], around.fallback[1], {"unit": "corrected reading"})
