"""What a number is when its unit, or its kind, was not said: taken from the place, the meter's mode or its neighbours.

Every inference says from what.  A weak one (the reading before, a guess by size) is a doubt; a strong one (the part's
own unit, the meter's mode, the end of the list) is not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Doubt, Reference
from journal.domain.unit_table import unit_table
from journal.interpret.amounts import Amount, shared_unit, unit_body
from journal.interpret.board import Board
from journal.interpret.context import Context
from journal.interpret.markings import CAPACITORS
from journal.interpret.points import Points
from journal.interpret.vocabulary import table

DIFFERENCES = (Kind.SUPERHEAT, Kind.SUBCOOLING, Kind.TEMPERATURE_DIFFERENCE)
CONTROL_LOW, CONTROL_HIGH = Decimal(18), Decimal(32)  # volts of a 24 V control circuit, loaded or not: common practice
SPREAD = Decimal("0.06")  # share by which a number may miss a usual voltage and still be taken for it
CLOSE = Decimal(3)  # a number within this factor of its neighbour has its unit without a doubt


@dataclass(slots=True)
class Surroundings:
    """What is known around one number."""

    board: Board
    context: Context
    component: str | None = None
    component_how: str = ""  # said, carried or ''
    points: Points | None = None
    kind: Kind | None = None
    words: frozenset[str] = frozenset()  # of its clause
    mates: Sequence[tuple[str, Kind]] = ()  # units and kinds of the same list
    topic: str | None = None  # a word of unsaid.toml before it
    machine: bool = False  # a machine was named as its place
    nominal: bool = False  # 'got my twenty four'
    acted: bool = False  # a control was seen to act at it
    led: bool = False  # 'and', 'at', 'to' or a comma stands before it, and a reading of this utterance before that
    measured: bool = False  # 'reading', 'i've got' stands before it
    fallback: tuple[str, Kind] | None = None  # of the reading it corrects


@dataclass(slots=True)
class Quantity:
    """Unit and kind with where they come from."""

    unit: str
    kind: Kind
    inferred: dict[str, str] = field(default_factory=dict)
    doubts: list[Doubt] = field(default_factory=list)
    alternatives: list[Alternative] = field(default_factory=list)
    reference: Reference | None = None


def quantity_of(amount: Amount, around: Surroundings) -> Quantity | None:
    """Return unit and kind of an amount, or ``None`` when nothing says that the number is a reading at all."""
    if amount.difference:
        return Quantity(
            "delta_degF", Kind.TEMPERATURE_DIFFERENCE, {} if amount.unit else {"unit": "difference from a neighbour"}
        )
    if amount.unit is not None:
        return _said(amount, around)
    if around.nominal:
        return Quantity("volt", Kind.VOLTAGE, {"unit": "nominal voltage"})
    found = _unsaid(amount, around)
    if found is not None:
        found.reference = _reference(found.unit, amount, around)
    return found


def _said(amount: Amount, around: Surroundings) -> Quantity:
    code, inferred = amount.unit or "", {}
    if code.startswith("shared"):
        code, why = _shared(code, around, amount)
        if why:
            inferred["unit"] = why
    kind = kind_for(code, around.kind)
    if around.kind in DIFFERENCES and code in ("degF", "degC"):
        code, kind = f"delta_{code}", around.kind
    if code in ("delta_degF", "delta_degC"):
        kind = _difference(amount, around)
    found = Quantity(code, kind, inferred)
    found.reference = _reference(code, amount, around)
    return found


def _shared(code: str, around: Surroundings, amount: Amount) -> tuple[str, str]:
    """Return the unit a shared form means here, and from what it was taken; nothing for its usual meaning."""
    entry = shared_unit(code)
    for when in entry["when"]:
        if around.component in when.get("component", ()):
            return when["unit"], f"{around.component}"
        if around.kind is not None and around.kind.value in when.get("kind", ()):
            return when["unit"], ""
        if ("above" in when and amount.key >= when["above"]) or ("below" in when and amount.key < when["below"]):
            return when["unit"], "size of the number"
        said = around.words & set(when.get("word", ()))
        if said:
            return when["unit"], f"'{min(said)}'"
    return entry["unit"], ""


def kind_for(code: str, said: Kind | None) -> Kind:
    """Return the kind a unit measures; the kind that was said where the unit allows it."""
    kinds = unit_table()[code].kinds
    return said if said in kinds else kinds[0]  # type: ignore[return-value]


def _difference(amount: Amount, around: Surroundings) -> Kind:
    for name in ("superheat", "subcool"):
        if name in amount.unit_form:
            return Kind.SUPERHEAT if name == "superheat" else Kind.SUBCOOLING
    return around.kind if around.kind in DIFFERENCES else Kind.TEMPERATURE_DIFFERENCE  # type: ignore[return-value]


def _unsaid(amount: Amount, around: Surroundings) -> Quantity | None:
    for source in (
        _from_mates,
        _from_kind,
        _from_place,
        _from_act,
        _from_topic,
        _from_correction,
        _from_before,
        _from_part,
        _from_size,
    ):
        found = source(amount, around)
        if found is not None:
            return found
    return None


def _from_mates(amount: Amount, around: Surroundings) -> Quantity | None:
    for unit, kind in around.mates:
        return Quantity(unit, kind, {"unit": "list"})
    return None


def _from_kind(amount: Amount, around: Surroundings) -> Quantity | None:
    if around.kind is None:
        return None
    if around.kind is Kind.PRESSURE and around.component is not None:
        place = _by_entries(table("components")[around.component].get("unsaid", ()), amount)
        if place is not None and Kind.PRESSURE in unit_table()[place["unit"]].kinds:
            return Quantity(place["unit"], Kind.PRESSURE, {"unit": f"{around.component}"})
    unit: str = table("kinds")[around.kind.value]["unit"]
    return Quantity(unit, around.kind, {"unit": f"'{around.kind.value}'"})


def _from_place(amount: Amount, around: Surroundings) -> Quantity | None:
    if around.topic == "draw" and _electrical(around.component) and around.points is None:
        return _from_topic(amount, around)
    mode = around.context.mode
    entries = table("components")[around.component].get("unsaid", ()) if around.component else ()
    entry = _by_entries(entries, amount)
    if around.points is not None and around.points.halves:
        return _from_points(amount, around, entry)
    if around.points is not None and around.points.side and mode is None and amount.key >= 90:
        return Quantity("volt", Kind.VOLTAGE, {"unit": "line or load side"})
    if entry is not None and around.component_how == "said":
        kinds = unit_table()[entry["unit"]].kinds
        if mode is not None and mode not in kinds and _electrical(around.component):
            return _by_mode(mode)
        return _with_second(entry, around)
    placed = around.component_how == "said" or around.measured or around.machine
    if mode is not None and placed and (around.component is None or _electrical(around.component)):
        return _by_mode(mode)
    if around.machine:
        return Quantity("degF", Kind.TEMPERATURE, {"unit": "machine"})
    if entry is not None and around.measured and around.component_how == "carried":
        return _with_second(entry, around)
    return None


def _by_entries(entries: Sequence[dict[str, Any]], amount: Amount) -> dict[str, Any] | None:
    for entry in entries:
        if "above" in entry and amount.key < entry["above"]:
            continue
        if "below" in entry and amount.key >= entry["below"]:
            continue
        return entry
    return None


def _with_second(entry: dict[str, Any], around: Surroundings) -> Quantity:
    kind = Kind(entry["kind"]) if "kind" in entry else kind_for(entry["unit"], None)
    found = Quantity(entry["unit"], kind, {"unit": f"{around.component}"})
    for other in entry.get("also", ()):
        if around.context.gauges_at is not None or "pressure" in around.words or _paired(around):
            break
        found.doubts.append(Doubt("kind unsure", f"'{around.component}' may be a pressure or a temperature here."))
        found.alternatives.append(
            Alternative(kind=kind_for(other, None), unit=other, why="pressure or temperature was not said")
        )
    return found


def _paired(around: Surroundings) -> bool:
    """Suction and head named in one breath, or a refrigerant beside them, are the gauges."""
    named = {claim.value for claim in around.board.labelled("component")}
    return (
        {"suction", "discharge"} <= named
        or any(True for _ in around.board.labelled("refrigerant"))
        or bool(around.words & set(table("clauses")["gauge_words"]))
    )


def _electrical(component: str | None) -> bool:
    return component is None or bool(table("components")[component].get("electrical"))


def _by_mode(mode: Kind) -> Quantity:
    return Quantity(table("kinds")[mode.value]["unit"], mode, {"unit": "meter mode"})


def _from_points(amount: Amount, around: Surroundings, entry: dict[str, Any] | None) -> Quantity | None:
    points = around.points
    if points is None:
        return None
    mode = around.context.mode
    families = [{family for family, _ in half} for half in points.halves]
    shared = set.intersection(*families) if families else set()
    if mode is not None:
        return _by_mode(mode)
    if _control_letters(points) and CONTROL_LOW <= amount.key <= CONTROL_HIGH and mode is None:
        if not _measuring_windings(around):
            return Quantity("volt", Kind.VOLTAGE, {"unit": "control terminals"})
    if (
        "control" in shared
        and (amount.key >= 15 or "winding" not in shared)
        and amount.key < 60
        and control_words(around)
    ):
        return Quantity("volt", Kind.VOLTAGE, {"unit": "control terminals"})
    if "winding" in shared and not control_words(around):
        if "capacitor" in shared and len(shared) == 1:
            return Quantity("microfarad", Kind.CAPACITANCE, {"unit": "capacitor terminals"})
        return Quantity("ohm", Kind.RESISTANCE, {"unit": "winding"})
    if "capacitor" in shared and "control" not in shared:
        return Quantity("microfarad", Kind.CAPACITANCE, {"unit": "capacitor terminals"})
    if around.component in CAPACITORS and "capacitor" in set().union(*families):
        return Quantity("microfarad", Kind.CAPACITANCE, {"unit": f"{around.component}"})
    previous = around.context.last()
    if previous is not None and previous.reading.unit and previous.said_points is not None:
        if not amount.key:
            return Quantity(previous.reading.unit, previous.reading.kind, {"unit": "reading before"})
        size = previous.reading.value
        if size is not None and size and amount.key and size / CLOSE <= amount.key <= size * CLOSE:
            return Quantity(previous.reading.unit, previous.reading.kind, {"unit": "reading before"})
    if "control" in shared and amount.key < 60:
        return Quantity("volt", Kind.VOLTAGE, {"unit": "control terminals"})
    if amount.key >= 90:
        return Quantity("volt", Kind.VOLTAGE, {"unit": "lines"})
    if {"phase"} & set().union(*families) and len(points.halves) == 1:
        return Quantity("ampere", Kind.CURRENT, {"unit": "one line"})
    if entry is not None:
        return _with_second(entry, around)
    if "winding" in set().union(*families) or "motor" in shared:
        return Quantity("ohm", Kind.RESISTANCE, {"unit": "winding"})
    weak = Quantity("volt", Kind.VOLTAGE, {"unit": "lines"})
    weak.doubts.append(Doubt("unit inferred", "No unit was said; lines were named, so volts are assumed."))
    return weak


def _control_letters(points: Points) -> bool:
    """'R to C' in letters, which is also a winding."""
    return len(points.halves) == 2 and all({"control", "winding"} <= {f for f, _ in half} for half in points.halves)


def _measuring_windings(around: Surroundings) -> bool:
    last = around.context.last()
    return last is not None and last.reading.kind is Kind.RESISTANCE and bool(last.reading.points)


def control_words(around: Surroundings) -> bool:
    """Return whether something nearby makes 'C to R' terminals of a control circuit."""
    return (
        around.component in ("thermostat", "control board", "control circuit", "transformer", "defrost control")
        or bool(around.words & set(table("clauses")["control_words"]))
        or (
            around.points is not None and any(not any(f == "winding" for f, _ in half) for half in around.points.halves)
        )
    )


def _from_topic(amount: Amount, around: Surroundings) -> Quantity | None:
    if around.topic is None:
        return None
    mode = around.context.mode
    entry = _by_entries(table("unsaid")[around.topic]["unsaid"], amount)
    if entry is None:
        return None
    if mode is not None and around.topic == "legs":
        return _by_mode(mode)
    return Quantity(entry["unit"], kind_for(entry["unit"], None), {"unit": f"'{around.topic}'"})


def _from_act(amount: Amount, around: Surroundings) -> Quantity | None:
    """'broke at nine, made at twenty eight': controls act on pressure, unless another was named."""
    if not around.acted or around.component_how == "said":
        return None
    return Quantity("psi", Kind.PRESSURE, {"unit": "a control that acts"})


def _from_part(amount: Amount, around: Surroundings) -> Quantity | None:
    """'got one twenty at the solenoid': at an electrical part a number of a usual size is volts, doubted."""
    if around.component_how != "said" or not _electrical(around.component) or not _near_usual(amount):
        return None
    found = Quantity("volt", Kind.VOLTAGE, {"unit": "size of the number"})
    found.doubts.append(Doubt("unit inferred", f"No unit was said; at the {around.component} volts are assumed."))
    return found


def _near_usual(amount: Amount) -> bool:
    volts = [Decimal(24), *table("unsaid")["mains_volts"]]
    return amount.value is not None and any(abs(amount.value - v) <= SPREAD * v for v in volts)


def _from_size(amount: Amount, around: Surroundings) -> Quantity | None:
    """'should be two thirty but i've only got one ninety eight': with nothing else to go by, mains voltages are known."""
    if not around.measured or amount.value is None or around.context.drafts or around.component is not None:
        return None
    if not _near_usual(amount):
        return None
    found = Quantity("volt", Kind.VOLTAGE, {"unit": "size of the number"})
    found.doubts.append(Doubt("unit inferred", "No unit and no place was said; by its size it is a mains voltage."))
    return found


def _from_correction(amount: Amount, around: Surroundings) -> Quantity | None:
    if around.fallback is None:
        return None
    return Quantity(around.fallback[0], around.fallback[1], {"unit": "corrected reading"})


def _from_before(amount: Amount, around: Surroundings) -> Quantity | None:
    """The unit of the reading before: without a doubt when the numbers are of one size, doubted otherwise."""
    previous = around.context.last()
    alone = (
        around.measured
        or around.led
        or all(
            (piece.text in around.words and around.board.owner[place] is not None)
            or piece.text in table("unsaid")["bare_words"]
            for place, piece in enumerate(around.board.pieces)
        )
    )
    if previous is None or previous.reading.unit is None or not alone:
        return None
    if around.component_how == "said" and around.component != previous.reading.component:
        return None
    found = Quantity(
        previous.reading.unit, previous.reading.kind, {"unit": "reading before"}, reference=previous.reading.reference
    )
    size = previous.reading.value
    if (
        size is None
        or not amount.key
        or not (abs(size) / CLOSE <= abs(amount.key) <= abs(size) * CLOSE)
        or previous.reading.withdrawn
    ):
        found.doubts.append(Doubt("unit inferred", "No unit was said; it was taken from the reading before."))
    elif any(doubt.code == "unit inferred" for doubt in previous.reading.doubts):
        found.doubts.append(Doubt("unit inferred", "No unit was said here nor at the reading before."))
    return found


def _reference(code: str, amount: Amount, around: Surroundings) -> Reference | None:
    if Kind.PRESSURE not in unit_table()[code].kinds:
        return None
    said = unit_body(code).get("reference")
    if said:
        return Reference(said)
    if code == "micron_Hg":
        return Reference.ABSOLUTE
    return Reference.GAUGE if code in ("psi", "bar", "kilopascal", "megapascal") else None
