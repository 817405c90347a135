"""Rules of belonging by which the number itself says its place: by its unit, its plate, the machine right before it."""

from __future__ import annotations

from journal.domain.kind import Kind
from journal.domain.reading import Role
from journal.interpret.board import Board
from journal.interpret.numbers.amounts import unit_body
from journal.interpret.places.case import NO_PART, Case
from journal.interpret.quantities.unsaid import STATIC
from journal.interpret.standing.details import is_size
from journal.interpret.vocabulary import small_words, table

CHARGES = ("cylinder", "system charge")  # what refrigerant is weighed in


def one_of_a_pair(case: Case) -> str | None:
    """'sixty over two forty': two numbers that belong together say what each of them is."""
    return (case.part.component or None) if case.part is not None else None


def time_of_no_place(case: Case) -> str | None:
    """'water's at forty and harvest took ninety seconds': only electrical parts are timed."""
    return NO_PART if case.kind is Kind.DURATION and case.name is not None and not case.body.get("electrical") else None


def time_set(case: Case) -> str | None:
    """'delay board was at five minutes, turned it to three minutes'."""
    settable = case.name in table("work")["set"]["only"]
    return case.name if case.kind is Kind.DURATION and case.role is Role.SETTING and settable else None


def unit_of_one_place(case: Case) -> str | None:
    """Some units are measured at one place only."""
    body = unit_body(case.quantity.unit)
    return str(body["component"]) if body.get("only_there") else None


def size_before_part(case: Case) -> str | None:
    """'thirty amp breaker': the size of the part right behind."""
    at = case.amount.last + 1
    behind = case.board.owner[at] if at < len(case.board.pieces) else None
    if behind is None or behind.label != "component":
        return None
    return str(behind.value) if is_size(case.board, case.amount, case.sentence.stands[case.place]) else None


def unit_names_place(case: Case) -> str | None:
    """'eleven inches water column static': a way of saying the unit that names the place too."""
    places: dict[str, str] = unit_body(case.amount.unit).get("places", {})
    return places.get(case.amount.unit_form or "")


def static_along_duct(case: Case) -> str | None:
    return "ductwork" if case.quantity.inferred.get("unit") == STATIC else None


def weight_of_charge(case: Case) -> str | None:
    """A plate's weight of refrigerant is the whole charge; any other is of no part but the jug on the scale."""
    told = case.role in (Role.NAMEPLATE, Role.EXPECTED)
    if case.kind is not Kind.MASS or (case.name in CHARGES and (case.named or not told)):
        return None
    return "system charge" if told else NO_PART


def motor_behind_capacitor(case: Case) -> str | None:
    """'stuck a new cap on it and the fan's running at two amps': the amps are the motor's."""
    bound = case.sentence.components[case.place]
    if case.kind is not Kind.CURRENT or bound is None or bound.how != "before" or "capacitor" not in bound.claim.value:
        return None
    between = range(bound.claim.last + 1, case.amount.first)
    turned = any(case.board.word(at) in small_words("fans") for at in between)
    return case.around.context.motor or _called_short(case) or case.name if turned else None


def short_name_of_plate(case: Case) -> str | None:
    """'compressor r l a thirteen point five ... and the fan is one point four full load': parts a plate calls short."""
    if case.kind is not Kind.CURRENT or case.named or not (case.role is Role.NAMEPLATE or _right_behind_short(case)):
        return None
    return _called_short(case)


def _called_short(case: Case) -> str | None:
    between = [case.board.word(at) for at in range(case.since, case.amount.first)]
    parts = table("components").items()
    return next((name for name, body in parts if any(form in between for form in body.get("printed", ()))), None)


def _right_behind_short(case: Case) -> bool:
    """'comp 11.2 A, fan 1.4 A': the short name stands right before its number."""
    board, at = case.board, case.amount.first - 1
    while at > 0 and board.owner[at] is None and board.word(at) in table("unsaid")["verbs"]["forms"]:
        at -= 1
    short = {form for body in table("components").values() for form in body.get("printed", ())}
    return at >= 0 and board.owner[at] is None and board.word(at) in short


def rated_load(case: Case) -> str | None:
    """Rated load and locked rotor are of compressors unless a motor was named: no overload has any; the ampacity and
    the fuse are the unit's."""
    condition = case.sentence.stands[case.place].condition
    of_unit = condition in table("roles")["nameplate"]["of_the_unit"]["conditions"]
    rated = condition is not None and not of_unit and case.kind is Kind.CURRENT
    return "compressor" if rated and not case.body.get("turns") else None


def machine_before(case: Case) -> str | None:
    """'freezer two zero degrees', 'walk in box temp we've got forty four': a machine right before degrees stands for
    the air in it."""
    machine = case.sentence.machines[case.place]
    if machine is None or case.named:
        return None
    right_before = machine.how == "before" and only_verbs(case.board, machine.claim.last + 1, case.amount.first)
    degrees = case.kind is Kind.TEMPERATURE and right_before
    if not degrees and case.quantity.inferred.get("unit") != "machine":
        return None
    return machine.claim.value.body.get("air") or case.name or NO_PART


def only_verbs(board: Board, first: int, behind: int) -> bool:
    """Nothing but verbs of measuring and the word 'temperature' stand there."""
    plain = {*table("unsaid")["placing"], *small_words("has_there")}
    return all(board.word(at) in plain or _is_temperature(board, at) for at in range(first, behind))


def _is_temperature(board: Board, at: int) -> bool:
    owner = board.owner[at]
    return owner is not None and owner.label == "kind" and owner.value == Kind.TEMPERATURE.value
