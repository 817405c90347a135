"""What a number belongs to: the part or place it was read at, found by the first rule that has something to say.

``look_around`` has found the part named with the number or carried over from before; most numbers belong there.  The
rules say when they do not: the unit, the plate, the kind of reading or the words between speak for another part, or for
none.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

from journal.domain.kind import Kind
from journal.domain.reading import Role
from journal.interpret.numbers.amounts import unit_body
from journal.interpret.numbers.markings import Part
from journal.interpret.places.able import part_that_can
from journal.interpret.places.case import NO_PART, Case
from journal.interpret.places.having import can_have
from journal.interpret.places.own_place import (
    machine_before,
    motor_behind_capacitor,
    one_of_a_pair,
    only_verbs,
    rated_load,
    short_name_of_plate,
    size_before_part,
    static_along_duct,
    time_of_no_place,
    time_set,
    unit_names_place,
    unit_of_one_place,
    weight_of_charge,
)
from journal.interpret.places.windings import has_windings, part_here, wound_later, wound_part
from journal.interpret.quantities.surroundings import Quantity, Surroundings
from journal.interpret.sentence import Sentence
from journal.interpret.vocabulary import small_words, table


def component_of(
    sentence: Sentence, place: int, around: Surroundings, part: Part | None, quantity: Quantity
) -> str | None:
    """Return what a number belongs to, or none."""
    case = Case(sentence, place, around, part, quantity)
    said = (rule(case) for rule in RULES)
    found = next((name for name in said if name is not None), case.name)
    return found or None


# Nothing was named with it, or only before.


def windings_of_nobody(case: Case) -> str | None:
    """'run to start four ohms so the blower motor's fine': no part was named yet."""
    wound = case.name is None and case.kind is Kind.RESISTANCE and has_windings(case.around.points)
    return wound_later(case.board, case.amount) or NO_PART if wound else None


def air_of_box(case: Case) -> str | None:
    """'the freezer's at minus three': the box, whether the machine has a name or not."""
    implied: str | None = unit_body(case.quantity.unit).get("component") if case.name is None else None
    hit = case.topic() if case.name is None or case.carried else None
    if implied or hit is None or case.kind is not Kind.TEMPERATURE:
        return implied
    machine = case.board.starts("equipment", hit.first)
    told = machine is not None and only_verbs(case.board, machine.last + 1, case.amount.first)
    air: str | None = table("equipment")[machine.name].get("air") if machine is not None and told else None
    return air


# What was named is not what is meant.


def unit_of_no_motor(case: Case) -> str | None:
    """'pump's running, down to nine hundred microns': no motor has microns."""
    of_the_unit: str | None = unit_body(case.quantity.unit).get("component")
    return of_the_unit if case.body.get("turns") else None


def called_by_circumstances(case: Case) -> str | None:
    """A coil with volts is a contactor's, heaters in a defrost are defrost heaters."""
    if case.name is None:
        return None
    meant = part_here(case.name, case.board, case.amount.first, case.around, case.kind)
    return meant if meant != case.name else None


def ohms_of_a_sensor(case: Case) -> str | None:
    """'return air's at ten point two k': air has no ohms, its sensor has."""
    sensed = case.body.get("sensed") and case.kind is Kind.RESISTANCE and case.around.points is None
    return "sensor" if sensed else None


def air_of_a_room(case: Case) -> str | None:
    """'stat's set at seventy and the den's at seventy eight', 'liquid line's one twelve and the room's eighty seven':
    the air of a room is not what the stat is set to, and no temperature of the part."""
    hit = case.topic_between() if case.carried and case.kind is Kind.TEMPERATURE else None
    if hit is None or hit.name not in ("rooms", "display"):
        return None
    room = case.board.word(hit.last) in small_words("room_words") and "role" not in case.body
    return case.body.get("room") or NO_PART if room or case.body.get("role") else None


def setting_of_a_control(case: Case) -> str | None:
    """'thermostat was at thirty eight ... with a four degree differential'."""
    control = case.body.get("role") == "setting" and case.role is Role.SETTING
    return case.name if control and case.kind in (Kind.TEMPERATURE, Kind.TEMPERATURE_DIFFERENCE) else None


def air_around_part(case: Case) -> str | None:
    """'milk's at forty and the air's at thirty six': the air around the part, not the part; 'head's two eighty with
    ninety degree air' is no temperature of the head."""
    gauged = any(entry["unit"] == "psi" for entry in case.body.get("unsaid", ()))
    if gauged and case.carried and case.kind is Kind.TEMPERATURE and case.board.word(case.amount.last + 1) == "air":
        return NO_PART
    hit = case.topic_between() if case.carried and case.kind is Kind.TEMPERATURE else None
    return case.body.get("air") or NO_PART if hit is not None and hit.name == "air" else None


def what_leaves(case: Case) -> str | None:
    """'return air to the evaporator thirty nine leaving thirty one', 'return's seventy two and it's coming out at fifty
    four', 'leaving air fifty five entering seventy six': the air at the other end."""
    bound = case.sentence.components[case.place]
    listed = bound is not None and bound.how == "list"  # 'return seventy two fifty four out'
    if not (case.carried or listed) or case.kind is not Kind.TEMPERATURE:
        return None
    said = [case.board.word(at) for at in range(case.since, case.amount.first)]
    behind = [case.board.word(at) for at in (case.amount.last + 1, case.amount.last + 2)]
    comes_out = any(
        first in small_words("goes_in") and second == "out"
        for words in (said, behind)
        for first, second in pairwise(words)
    )
    bare = said[1:] if said[:1] == ["and"] else said  # 'and out is one fifteen'
    comes_out = comes_out or (bare[:1] == ["out"] and all(word in small_words("copulas") for word in bare[1:]))
    if behind[0] == "out" and case.board.owner[case.amount.last + 1] is None and "leaving" in case.body:
        weather = case.board.word(case.amount.first - 1) in small_words("it")  # 'and it's ninety out': here or outside
        return NO_PART if weather else case.body["leaving"]
    told = [word for word in said if word not in small_words("copulas")]  # 'entering is seventy six'
    if comes_out or (told and told[-1] in small_words("left_out")):
        return case.body.get("leaving")
    if told and told[-1] in small_words("entered"):
        return case.body.get("entering")
    enters = "in" in said and any(word in small_words("goes_in") for word in said)  # 'and going back in it's thirty'
    return case.body.get("entering") if enters else None


def set_point_or_net(case: Case) -> str | None:
    """'return seventy six set point seventy four' is the thermostat's; a net pressure behind the crankcase's is the
    oil's."""
    hit = case.topic() if case.carried else None
    if hit is None or not (case.since <= hit.first < case.amount.first or hit.first == case.amount.last + 1):
        return None
    said = case.board.word(hit.first) in small_words("set_point")
    key = "set_by" if said and case.role is Role.SETTING else hit.name
    other: str | None = case.body.get(key) if key in ("set_by", "net") else None
    return _if_it_fits(case, other) if other is not None else None


def pressure_on_gauge(case: Case) -> str | None:
    """'suction line's fifty two and the gauge says thirty seven': the side of the gauges that shows the line."""
    gauged = case.carried and case.kind is Kind.PRESSURE and case.around.topic in ("gauge", "gauges")
    return case.body.get("gauge") if gauged else None


def saturation_of_pressure(case: Case) -> str | None:
    """'suction's sixty eight psi, saturated forty': what was just read at the same place was its pressure."""
    last = case.around.context.last()
    if case.kind is not Kind.SATURATION_TEMPERATURE or last is None or last.reading.kind is not Kind.PRESSURE:
        return None
    evidence = last.reading.evidence
    here = evidence is not None and evidence.utterance == case.board.utterance.index
    return case.name if here and last.reading.component == case.name else None


# What was only carried over, or named an utterance ago.


def windings_carried(case: Case) -> str | None:
    """Ends of windings are of the part with windings that was spoken of last."""
    wound = case.kind is Kind.RESISTANCE and (has_windings(case.around.points) or _through_to_ground(case))
    if not wound or not (case.carried or case.around.waiting):
        return None
    return wound_part(case.around) or wound_later(case.board, case.amount) or NO_PART


def _through_to_ground(case: Case) -> bool:
    """'the breaker won't hold ... i go to ground with the megger': whatever it feeds is what leaks."""
    points = case.around.points
    ends = [name for half in points.halves for _, name in half] if points is not None else []
    return ends == ["ground"] and bool(case.body.get("passes"))


def carried_if_it_fits(case: Case) -> str | None:
    """A part carried over keeps only readings of a kind it can have."""
    return _if_it_fits(case, case.name) if case.name and (case.carried or case.around.waiting) else None


def _if_it_fits(case: Case, name: str | None) -> str:
    """The place of the unit, else the part carried over if it can have such a reading, else the part compared with."""
    implied: str | None = unit_body(case.quantity.unit).get("component")
    bare = case.kind is Kind.VOLTAGE and case.around.points is None  # 'across the run cap', or its rating
    fits = name is not None and (bare or can_have(name, case.kind))
    return implied or (name if fits and name is not None else _compared(case)) or NO_PART


def _compared(case: Case) -> str | None:
    """'the fan's at two amps tag says two and a half': what is printed is of the part just measured."""
    last = case.around.context.last()
    if last is None or case.role is not Role.NAMEPLATE or last.reading.kind is not case.kind:
        return None
    evidence = last.reading.evidence
    here = evidence is not None and evidence.utterance == case.board.utterance.index
    return last.reading.component if here else None


RULES: tuple[Callable[[Case], str | None], ...] = (
    one_of_a_pair,
    time_of_no_place,
    time_set,
    unit_of_one_place,
    size_before_part,
    unit_names_place,
    static_along_duct,
    weight_of_charge,
    motor_behind_capacitor,
    short_name_of_plate,
    rated_load,
    machine_before,
    windings_of_nobody,
    air_of_box,
    unit_of_no_motor,
    what_leaves,
    called_by_circumstances,
    ohms_of_a_sensor,
    air_of_a_room,
    setting_of_a_control,
    air_around_part,
    set_point_or_net,
    pressure_on_gauge,
    saturation_of_pressure,
    windings_carried,
    part_that_can,
    carried_if_it_fits,
)
