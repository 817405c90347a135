"""Numbers that come in sets: gauge pairs, dry over wet bulb, what is printed on a capacitor, tolerances."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from journal.interpret.board import Board, Claim
from journal.interpret.numbers.sizes import RATINGS, usual_halves
from journal.interpret.vocabulary import table

CAPACITORS = ("dual capacitor", "run capacitor", "start capacitor", "capacitor")
NEAR = 4  # words between a capacitor's values and its rating
FAN_AT_MOST = 20  # microfarads of the fan side of a dual capacitor (common practice)


BOTH_GAUGES = "suction over discharge"
GAUGES_TURNED = "discharge over suction, as read before"


@dataclass(frozen=True, slots=True)
class Part:
    """What a number is in its set; empty fields say nothing."""

    component: str | None = None
    unit: str | None = None
    points: tuple[str, ...] = ()
    nameplate: bool = False
    condition: str | None = None
    why: str = ""


def of_gauges(part: Part | None) -> bool:
    """Whether a number is one of a pair of gauges ('122 over 335'): the pair says what both are, and how they sound
    beside other words does not count."""
    return part is not None and part.why in (BOTH_GAUGES, GAUGES_TURNED)


def gauge_pairs(
    board: Board,
    items: Sequence[Claim],
    air: Sequence[str | None],
    gauges: bool,
    last: tuple[Decimal, Decimal] | None = None,
) -> dict[int, Part]:
    """Return the parts of 'sixty six over two seventy one': suction and discharge, or dry over wet bulb in air.

    ``air`` holds each item's bound component; ``gauges`` says that gauges were named; ``last`` are suction and
    discharge read before: with them 'two twenty eight over forty six' is head over suction.
    """
    found: dict[int, Part] = {}
    for place in range(len(items) - 1):
        left, right = items[place], items[place + 1]
        if left.label != "amount" or right.label != "amount" or place in found:
            continue
        between = board.text(left.last + 1, right.first - 1) if right.first == left.last + 2 else ""
        gauges_named = between == "and" and len(items) == 2 and _gauges_here(board, items) and not any(air)
        if (
            (between not in table("hedges")["over"] and not gauges_named)
            or left.value.value is None
            or right.value.value is None
        ):
            continue
        units = {left.value.unit, right.value.unit} - {None}
        place_named = air[place] or air[place + 1]
        if place_named in table("clauses")["air"]:
            for at, bulb in ((place, "dry bulb"), (place + 1, "wet bulb")):
                found[at] = Part(component=place_named, unit="degF", condition=bulb, why="dry over wet bulb")
            continue
        pressure = {unit for unit in units if unit} <= {"psi", _pounds()}
        if not pressure or (between == "/" and not (units or gauges)):
            continue
        if left.value.key >= right.value.key:
            if last is not None and _nearer(left.value.key, last[1], last[0]) and _nearer(right.value.key, *last):
                found[place] = Part("discharge", "psi", why=GAUGES_TURNED)
                found[place + 1] = Part("suction", "psi", why=GAUGES_TURNED)
            continue
        found[place] = Part("suction", "psi", why=BOTH_GAUGES)
        found[place + 1] = Part("discharge", "psi", why=BOTH_GAUGES)
    return found


def _nearer(value: Decimal, this: Decimal, other: Decimal) -> bool:
    return abs(value - this) < abs(value - other)


def _gauges_here(board: Board, items: Sequence[Claim]) -> bool:
    """'gauges fifty eight and two twenty five': the gauges were named and no side of them."""
    return any(
        hit.name == "gauges" and "gauge" in board.text(hit.first, hit.last) for hit in board.hits.get("unsaid", ())
    )


def _pounds() -> str:
    return next(f"shared {n}" for n, entry in enumerate(table("units")["shared"]) if "pounds" in entry["forms"])


@dataclass(frozen=True, slots=True)
class Row:
    """The numbers of an utterance with what the markings have to know of each."""

    items: Sequence[Claim]
    components: Sequence[str | None]  # bound or carried
    measured: Sequence[bool]  # a meter was said to show it
    pointed: Sequence[bool]  # points were named
    named: Sequence[bool]  # its part was named for it

    def capacitance(self, place: int) -> bool:
        """Whether a number may be a capacitance of the capacitor spoken of."""
        item = self.items[place]
        if item.label != "amount" or self.components[place] not in CAPACITORS:
            return False
        unit = item.value.unit
        return unit in (None, "microfarad") or str(unit).startswith("shared")


def capacitor_markings(row: Row) -> dict[int, Part]:
    """Return what is printed on a capacitor: its halves, its rating in volts, the range of a start capacitor."""
    return _printed_before_measured(row) | _ratings(row) | _halves(row) | _start_ranges(row) | _whole_marking(row)


def _ratings(row: Row) -> dict[int, Part]:
    """A rating in volts right behind capacitances, which are printed too then."""
    found: dict[int, Part] = {}
    for place in range(1, len(row.items)):
        item, before = row.items[place], row.items[place - 1]
        if item.label != "amount" or row.measured[place] or row.components[place] not in CAPACITORS:
            continue
        amount = item.value
        rated = amount.value in RATINGS and amount.unit in (None, "volt")
        if not (
            rated and row.capacitance(place - 1) and not row.measured[place - 1] and item.first - before.last <= NEAR
        ):
            continue
        found[place] = Part(unit="volt", nameplate=True, why="rating of a capacitor")
        for at in range(place - 1, max(-1, place - 3), -1):
            if row.capacitance(at) and not row.measured[at] and item.first - row.items[at].last <= NEAR:
                found[at] = Part(unit="microfarad", nameplate=True, why="printed on a capacitor")
    return found


def _whole_marking(row: Row) -> dict[int, Part]:
    """'forty five five three seventy': two usual halves and a rating are a dual capacitor, whatever it was called."""
    for place in range(len(row.items) - 2):
        three = row.items[place : place + 3]
        if any(item.label != "amount" or item.value.value is None for item in three):
            continue
        large, small, volts = (item.value.value for item in three)
        named = row.components[place] in (None, *CAPACITORS)
        close = three[2].first - three[0].last <= NEAR + 2
        units = three[0].value.unit in (None, "microfarad") and three[2].value.unit in (None, "volt")
        if (
            named
            and close
            and units
            and volts in RATINGS
            and usual_halves(large, small)
            and not any(row.pointed[place : place + 2])
        ):
            return {
                place: Part("dual capacitor", "microfarad", ("HERM",), True, why="dual capacitor"),
                place + 1: Part("dual capacitor", "microfarad", ("FAN",), True, why="dual capacitor"),
                place + 2: Part("dual capacitor", "volt", (), True, why="rating of a capacitor"),
            }
    return {}


def _halves(row: Row) -> dict[int, Part]:
    """Two values of a dual capacitor in a row, the larger for the compressor, the smaller for the fan."""
    found: dict[int, Part] = {}
    for place in range(len(row.items) - 1):
        left, right = row.items[place], row.items[place + 1]
        if not (row.capacitance(place) and row.capacitance(place + 1)) or row.pointed[place] or row.pointed[place + 1]:
            continue
        close = right.first - left.last <= 2
        if (
            not close
            or right.value.value is None
            or left.value.value is None
            or right.value.unit not in (None, left.value.unit, "microfarad")
        ):
            continue
        large, small = left.value.value, right.value.value
        dual = row.components[place] == row.components[place + 1] == "dual capacitor"
        if small >= large or small > FAN_AT_MOST or not (dual or left.value.size):
            continue
        if row.measured[place] and not row.measured[place + 1]:
            continue
        plate = not row.measured[place]
        for at, point in ((place, "HERM"), (place + 1, "FAN")):
            found[at] = Part("dual capacitor", "microfarad", (point,), plate, why="dual capacitor")
    return found


def _start_ranges(row: Row) -> dict[int, Part]:
    found: dict[int, Part] = {}
    for place, item in enumerate(row.items):
        ranged = row.capacitance(place) and item.value.form == "range" and not row.measured[place]
        if ranged and row.components[place] == "start capacitor":
            found[place] = Part(unit="microfarad", nameplate=True, why="range printed on a start capacitor")
    return found


def _printed_before_measured(row: Row) -> dict[int, Part]:
    """'run cap 40 MFD, meas 37.5': of two values of one part, only the second was said to be measured."""
    found: dict[int, Part] = {}
    for place in range(len(row.items) - 1):
        both = row.capacitance(place) and row.capacitance(place + 1)
        one = row.components[place] == row.components[place + 1] and not any(row.pointed[place : place + 2])
        cued = row.measured[place + 1] and not row.measured[place] and row.named[place]
        close = row.items[place + 1].first - row.items[place].last <= NEAR
        if both and one and cued and close and row.items[place].value.value is not None:
            found[place] = Part(unit="microfarad", nameplate=True, why="printed before what was measured")
    return found
