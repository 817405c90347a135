"""Unit and kind of a number: as said, or taken from what stands around it.

Every inference says from what.  A weak one (the reading before, a guess by size) is a doubt; a strong one (the part's
own unit, the meter's mode, the end of the list) is not.
"""

from __future__ import annotations

from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Doubt, Reference
from journal.domain.unit_table import unit_table
from journal.interpret.board import Board
from journal.interpret.numbers.amounts import Amount, shared_unit, unit_body
from journal.interpret.quantities.looked_up import is_looked_up
from journal.interpret.quantities.mains import from_across
from journal.interpret.quantities.surroundings import DIFFERENCES, Quantity, Surroundings, kind_for
from journal.interpret.quantities.unsaid import (
    from_act,
    from_charge,
    from_correction,
    from_kind,
    from_mates,
    from_other_end,
    from_place,
    from_static,
    from_topic,
    from_withdrawn,
)
from journal.interpret.quantities.unsaid_after import (
    from_chart,
    from_cycle,
    from_drop,
    from_limit,
    from_setting,
    from_split,
    from_turn,
)
from journal.interpret.quantities.unsaid_against import from_against, from_memory, from_moved
from journal.interpret.quantities.unsaid_before import from_before
from journal.interpret.quantities.unsaid_volts import from_part, from_phases, from_service, from_size
from journal.interpret.vocabulary import small_words, table

FAR_BEYOND = 2  # times the most a unit usually has: what nobody measures
MOST_CHARGE = 60  # pounds of refrigerant that the plate of a machine of this trade prints; our own choice


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
        found.reference = reference_of(found.unit, amount, around)
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
    if kind is Kind.TEMPERATURE and around.kind is None and is_looked_up(amount, around):
        kind = Kind.SATURATION_TEMPERATURE
    found = Quantity(code, kind, inferred)
    if (
        "inch" in code
        and amount.unit != code
        and inferred.get("unit") in (None, "size of the number")
        and _size_or_pressure(around)
    ):
        found.doubts.append(Doubt("maybe no reading", "Inches may be the size of a thing here."))
    if code == "psi" and amount.unit != code and _pressure_is_a_guess(around):
        found.doubts.append(Doubt("kind unsure", "Pounds may be a pressure or a weight here."))
        found.alternatives.append(Alternative(kind=Kind.MASS, unit="pound", why="pounds of weight"))
    found.reference = reference_of(code, amount, around)
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
        if when.get("refrigerant") and (_of_refrigerant(around.board, amount) or _printed_charge(around, amount)):
            return when["unit"], "refrigerant"
        said = around.words & set(when.get("word", ()))
        if said:
            return when["unit"], f"'{min(said)}'"
    return entry["unit"], ""


def _size_or_pressure(around: Surroundings) -> bool:
    """'the shaft is half inch': inches with nothing beside them and nothing before that has a pressure."""
    last = around.context.last()
    measured = last is not None and last.reading.kind is Kind.PRESSURE and not last.reading.doubts
    units = (
        [entry["unit"] for entry in table("components")[around.component].get("unsaid", ())] if around.component else []
    )
    known = any(Kind.PRESSURE in unit_table()[unit].kinds for unit in units)
    known = known or around.kind is not None or around.topic is not None or around.measured
    return not (known or measured or around.acted or around.mates)


def _pressure_is_a_guess(around: Surroundings) -> bool:
    """'pounds' with no place, no gauge and no control beside them."""
    said = around.kind is Kind.PRESSURE or around.acted or around.topic in ("gauges", "controls")
    return around.component is None and not said and not around.mates


def _of_refrigerant(board: Board, amount: Amount) -> bool:
    """'six pounds of four ten a' is a mass."""
    at = amount.last + 1 + (board.word(amount.last + 1) == "of")
    owner = board.owner[at] if at < len(board.pieces) else None
    if board.word(at - 1) == "of" and board.word(at) in small_words("weighed") and board.word(at + 1) != "pressure":
        return True
    return owner is not None and owner.label == "refrigerant"


def _printed_charge(around: Surroundings, amount: Amount) -> bool:
    """'the plate says five oh seven four pounds': pounds right behind the refrigerant a plate names."""
    owner = around.board.owner[amount.first - 1] if amount.first else None
    bare = around.component is None and around.kind is None and amount.key < MOST_CHARGE
    if around.printed and bare and around.topic is None:
        return True  # 'the sticker wants five and a half pounds': plates print charges, and pressures with their place
    return around.printed and owner is not None and owner.label == "refrigerant"


def _difference(amount: Amount, around: Surroundings) -> Kind:
    for name, body in table("kinds").items():
        if "in_units" in body and body["in_units"] in amount.unit_form:
            return Kind(name)
    return around.kind if around.kind in DIFFERENCES else Kind.TEMPERATURE_DIFFERENCE


def _unsaid(amount: Amount, around: Surroundings) -> Quantity | None:
    for source in (
        from_memory,
        from_moved,
        from_cycle,
        from_chart,
        from_against,
        from_phases,
        from_service,
        from_split,
        from_mates,
        from_kind,
        from_turn,
        from_limit,
        from_charge,
        from_drop,
        from_setting,
        from_static,
        from_other_end,
        from_across,
        from_place,
        from_act,
        from_withdrawn,
        from_topic,
        from_correction,
        from_before,
        from_part,
        from_size,
    ):
        found = source(amount, around)
        if found is not None and _possible(found, amount):
            return found
    return None


def _possible(found: Quantity, amount: Amount) -> bool:
    """No guess makes forty thousand degrees of a price, nor five turns a minute of five amps."""
    body = unit_body(found.unit)
    sizes = [abs(size) for size in (amount.value, amount.low, amount.high) if size]
    most, least = body.get("up_to"), body.get("down_to", 0)
    return all((most is None or size <= most * FAR_BEYOND) and size >= least for size in sizes)


def reference_of(code: str, amount: Amount, around: Surroundings) -> Reference | None:
    """Return what a pressure in a unit counts from; ``None`` for other units and where the unit leaves it open."""
    if Kind.PRESSURE not in unit_table()[code].kinds:
        return None
    said = unit_body(code).get("reference")
    if said:
        return Reference(said)
    if code == "micron_Hg":
        return Reference.ABSOLUTE
    return Reference.GAUGE if code in ("psi", "bar", "kilopascal", "megapascal") else None
