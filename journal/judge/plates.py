"""The currents of a plate: how they tell themselves apart, and what they have to add up to."""

from __future__ import annotations

from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import Phase, Reading
from journal.domain.verdict import Authority
from journal.judge.answers import judged
from journal.judge.check import (
    NAMEPLATE,
    OWN,
    SETTING,
    Case,
    Check,
    Decision,
    Need,
)  # fmt: skip
from journal.judge.entries import on_plate
from journal.judge.formulas import maximum_overcurrent, minimum_circuit_ampacity, standard_fuse_below
from journal.judge.numbers import show
from journal.judge.select import Bench

OTHER_PLATES = ("locked", "maximum", "minimum", "overcurrent", "breaker", "fuse")


_PLATE_PARTS = (OWN, "compressor", "condensing unit", None)


def plate(
    ask: str,
    *said: str,
    required: bool = True,
    unsaid: tuple[str, ...] = (),
    components: tuple[str | None, ...] = _PLATE_PARTS,
) -> Need:
    return Need(
        Kind.CURRENT,
        "ampere",
        ask,
        roles=(NAMEPLATE,),
        components=components,
        said=said,
        unsaid=unsaid,
        required=required,
    )


RATED = plate("the rated-load current on the nameplate", unsaid=OTHER_PLATES)


LOCKED_ROTOR = plate("the locked-rotor current on the nameplate", "locked")


MAXIMUM = plate("the maximum continuous current", "maximum continuous", "maximum operating", "max", required=False,
                unsaid=("fuse", "breaker", "overcurrent"))  # fmt: skip


def plates(bench: Bench, phase: Phase, component: str | None) -> dict[str, Reading]:
    """Return rated-load, locked-rotor and maximum current of a plate.

    Two plate figures of one part that do not say which is which tell themselves apart: locked rotor is three to ten
    times rated load.
    """
    found: dict[str, Reading] = {}
    for slot, need in (("rated", RATED), ("locked rotor", LOCKED_ROTOR), ("maximum", MAXIMUM)):
        first = next(bench.candidates(need, phase, component), None)
        if first is not None:
            found[slot] = first
    if "rated" not in found:
        return found
    bare = [r for r in bench.candidates(RATED, phase, component) if r.component == found["rated"].component and r.value]
    said = [r for r in bare if any("rated" in c or "full load" in c for c in r.conditions)]
    if said:
        found["rated"] = said[0]
    elif "locked rotor" not in found and len(bare) > 1:
        small, large = min(bare, key=_amount), max(bare, key=_amount)
        if 3 <= _amount(large) / _amount(small) <= 10:
            found |= {"rated": small, "locked rotor": large}
    return found


def _amount(reading: Reading) -> Decimal:
    return reading.value or Decimal(1)


def _overcurrent(case: Case) -> Decision:
    fuse, permitted = case.number("installed"), case.number("plate")
    bound = case.limit("overcurrent.plate").share_of(permitted, "ampere")
    if case.has("ampacity"):
        bound = bound.bounded(low=case.number("ampacity"))
    return judged(
        case,
        fuse,
        bound,
        f"{show(fuse)} A installed, {show(permitted)} A on the plate",
        cautions=("overcurrent protection",) if fuse > permitted else (),
    )


BREAKER = Check(
    name="overcurrent-device",
    title="Installed breaker or fuse against the plate",
    needs={
        "installed": Need(
            Kind.CURRENT,
            "ampere",
            "the rating of the installed breaker or fuse",
            roles=(NAMEPLATE, SETTING),
            components=("breaker", "fuse", "disconnect"),
        ),
        "plate": plate(
            "the maximum fuse or breaker on the unit's plate",
            "overcurrent",
            "maximum fuse",
            "maximum breaker",
            "max fuse",
            components=("condensing unit", "compressor", None, "supply"),
        ),
        "ampacity": plate(
            "the minimum circuit ampacity",
            "minimum circuit",
            required=False,
            components=("condensing unit", None, "compressor"),
        ),
    },
    decide=_overcurrent,
    subject="the installed breaker or fuse",
    means={
        "high": "it does not protect wires and motor as the plate demands",
        "low": "it is smaller than the circuit needs and will trip",
    },
    limits=("overcurrent.plate",),
    almost=0,
)


def _plate_sums(case: Case) -> Decision:
    loads = [case.number(s) for s in ("compressor", "second compressor", "fans") if case.has(s)]
    largest = max(case.number(s) for s in ("compressor", "second compressor") if case.has(s))
    loads.remove(largest)
    ampacity, device = minimum_circuit_ampacity(largest, loads), maximum_overcurrent(largest, loads)
    fuse = standard_fuse_below(device)
    formula = (
        f"1.25 x {show(largest)} + {show(sum(loads, Decimal(0)))} = {show(ampacity)} A ampacity; 2.25 x "
        f"{show(largest)} + "
        f"{show(sum(loads, Decimal(0)))} = {show(device)} A, fuse at most {show(fuse) if fuse else '?'} A"
    )
    bound = on_plate(
        "ampere",
        low=ampacity,
        source="NEC 440 as told by Daikin UAA installation manual p. 32",
        authority=Authority.PRACTICE,
    )
    return judged(case, case.number("plate ampacity"), bound, formula)


SUMS = Check(
    name="plate-sums",
    title="Minimum circuit ampacity from the parts",
    needs={
        "compressor": plate("the compressor's rated-load current", unsaid=OTHER_PLATES, components=("compressor",)),
        "second compressor": plate(
            "the second compressor's rated-load current", "second", required=False, components=("compressor",)
        ),
        "fans": plate("the sum of the fans' full-load currents", required=False, components=("condenser fan motor",)),
        "plate ampacity": plate(
            "the minimum circuit ampacity on the plate", "minimum circuit", components=("condensing unit", None)
        ),
    },
    decide=_plate_sums,
    subject="the minimum circuit ampacity of the plate",
    means={"low": "the plate's figure is less than its parts add up to; read both again"},
    almost=0,
)


def _plate_mcc(case: Case) -> Decision:
    maximum, rated = case.number("maximum"), case.number("rated")
    share = maximum / rated * 100
    return judged(
        case,
        share,
        case.limit("rated-load.mcc-divisor"),
        f"{show(maximum)} A / {show(rated)} A = {show(share / 100, 3)}",
    )


MCC = Check(
    name="plate-maximum",
    title="Maximum continuous against rated-load current",
    needs={
        "maximum": plate("the maximum continuous current", "maximum continuous", components=("compressor",)),
        "rated": plate("the rated-load current", unsaid=OTHER_PLATES, components=("compressor",)),
    },
    decide=_plate_mcc,
    subject="the maximum continuous current, as a share of rated load,",
    means={"marginal": "one of the two plate figures may be misread"},
    limits=("rated-load.mcc-divisor",),
    almost=0,
)

CHECKS = (
    BREAKER,
    SUMS,
    MCC,
)
