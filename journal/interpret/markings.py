"""Numbers that come in sets: gauge pairs, dry over wet bulb, what is printed on a capacitor, tolerances."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from journal.interpret.grouping import RATINGS
from journal.interpret.board import Board, Claim
from journal.interpret.vocabulary import table

CAPACITORS = ("dual capacitor", "run capacitor", "start capacitor", "capacitor")
FAN_AT_MOST = 20  # microfarads of the fan side of a dual capacitor (common practice)


@dataclass(frozen=True, slots=True)
class Part:
    """What a number is in its set; empty fields say nothing."""

    component: str | None = None
    unit: str | None = None
    points: tuple[str, ...] = ()
    nameplate: bool = False
    condition: str | None = None
    why: str = ""


def gauge_pairs(board: Board, items: Sequence[Claim], air: Sequence[str | None], gauges: bool) -> dict[int, Part]:
    """Return the parts of 'sixty six over two seventy one': suction and discharge, or dry over wet bulb in air.

    ``air`` holds each item's bound component; ``gauges`` says that gauges were named.
    """
    found: dict[int, Part] = {}
    for place in range(len(items) - 1):
        left, right = items[place], items[place + 1]
        if left.label != "amount" or right.label != "amount" or place in found:
            continue
        between = board.text(left.last + 1, right.first - 1) if right.first == left.last + 2 else ""
        if between not in table("hedges")["over"] or left.value.value is None or right.value.value is None:
            continue
        units = {left.value.unit, right.value.unit} - {None}
        place_named = air[place] or air[place + 1]
        if place_named in table("clauses")["air"]:
            for at, bulb in ((place, "dry bulb"), (place + 1, "wet bulb")):
                found[at] = Part(component=place_named, unit="degF", condition=bulb, why="dry over wet bulb")
            continue
        pressure = {unit for unit in units if unit} <= {"psi", _pounds()}
        if not pressure or (between == "/" and not (units or gauges)) or left.value.key >= right.value.key:
            continue
        found[place] = Part("suction", "psi", why="suction over discharge")
        found[place + 1] = Part("discharge", "psi", why="suction over discharge")
    return found


def _pounds() -> str:
    return next(f"shared {n}" for n, entry in enumerate(table("units")["shared"]) if "pounds" in entry["forms"])


def capacitor_markings(
    board: Board, items: Sequence[Claim], components: Sequence[str | None], lists: Sequence[int], measured: Sequence[bool],
    pointed: Sequence[bool],
) -> dict[int, Part]:  # fmt: skip
    """Return what is printed on a capacitor: its rating in volts and the values that lead up to it."""
    found: dict[int, Part] = {}
    for place, item in enumerate(items):
        if item.label != "amount" or components[place] not in CAPACITORS or measured[place]:
            continue
        amount = item.value
        if (
            amount.value in RATINGS
            and amount.unit in (None, "volt")
            and (amount.unit == "volt" or _behind_values(items, place))
        ):
            found[place] = Part(unit="volt", nameplate=True, why="rating of a capacitor")
            for before in range(place - 1, max(-1, place - 3), -1):
                if (
                    _capacitance(items, before, components)
                    and not measured[before]
                    and item.first - items[before].last <= 4
                ):
                    found[before] = Part(unit="microfarad", nameplate=True, why="printed on a capacitor")
    for place in range(len(items) - 1):
        left, right = items[place], items[place + 1]
        if (
            components[place] != "dual capacitor"
            or components[place + 1] != "dual capacitor"
            or pointed[place]
            or pointed[place + 1]
        ):
            continue
        if not (_capacitance(items, place, components) and _capacitance(items, place + 1, components)):
            continue
        if measured[place] and not measured[place + 1]:
            continue
        if right.first - left.last <= 2 and right.value.key <= FAN_AT_MOST and right.value.key < left.value.key:
            plate = not measured[place]
            found[place] = Part(unit="microfarad", points=("HERM",), nameplate=plate, why="dual capacitor")
            found[place + 1] = Part(unit="microfarad", points=("FAN",), nameplate=plate, why="dual capacitor")
    for place, item in enumerate(items):
        if (
            components[place] == "start capacitor"
            and item.label == "amount"
            and item.value.form == "range"
            and not measured[place]
        ):
            if item.value.unit in (None, "microfarad") or str(item.value.unit).startswith("shared"):
                found[place] = Part(unit="microfarad", nameplate=True, why="range printed on a start capacitor")
    return found


def _behind_values(items: Sequence[Claim], place: int) -> bool:
    return place > 0 and items[place - 1].label == "amount" and items[place].first - items[place - 1].last <= 4


def _capacitance(items: Sequence[Claim], place: int, components: Sequence[str | None]) -> bool:
    item = items[place]
    if item.label != "amount" or components[place] not in CAPACITORS:
        return False
    unit = item.value.unit
    return unit in (None, "microfarad") or str(unit).startswith("shared")
