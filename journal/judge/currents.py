"""Checks of currents: running, locked rotor, unbalance, lost phase, fans, and a unit's plate."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import Phase, Reading, Role
from journal.domain.verdict import Authority
from journal.judge.answers import judged, place, stated, undetermined
from journal.judge.check import (
    EXPECTED,
    MARGINAL,
    NAMEPLATE,
    OUTSIDE,
    OWN,
    WITHIN,
    Case,
    Check,
    Decision,
    Need,
    pairs,
)  # fmt: skip
from journal.judge.entries import on_plate
from journal.judge.numbers import show, shown
from journal.judge.plates import LOCKED_ROTOR, MAXIMUM, OTHER_PLATES, RATED, _amount, plate, plates
from journal.judge.select import Bench, fits, group_of
from journal.judge.supply import MOTORS

COMPRESSORS = ("compressor", None)


LOCKED = ("locked", "starting", "inrush", "stalled", "humming", "not turning")


PEAK = ("starting", "inrush", "peak")


WINDING_POINTS = pairs("start", "HERM", "FAN", "run start", "common start")


def current(
    ask: str,
    *,
    points: tuple[frozenset[str], ...] = (),
    required: bool = True,
    unsaid: tuple[str, ...] = LOCKED,
    components: tuple[str | None, ...] = (OWN,),
    said: tuple[str, ...] = (),
) -> Need:
    return Need(
        Kind.CURRENT, "ampere", ask, points=points, required=required, unsaid=unsaid, said=said, components=components
    )


def _measured(bench: Bench, need: Need, phase: Phase, component: str | None) -> list[Reading]:
    pool = bench.by_key.get((Kind.CURRENT, Role.MEASURED, component), ())
    found = [r for r in pool if r.phase is phase and fits(need, r) and frozenset(r.points) not in WINDING_POINTS]
    return group_of(bench, found) if found else []


def _running(bench: Bench, check: Check) -> Iterator[Case]:
    for phase in bench.phases:
        for component in check.each:
            group = _measured(bench, check.needs["measured"], phase, component)
            if not group or (component is None and len(group) < 3 and not group[0].points):
                continue  # amps without a place belong to nothing, unless they are three legs
            slots = dict(zip(("measured", "second", "third"), group, strict=False))
            yield bench.case(
                check, phase, component or "compressor", {**slots, **plates(bench, phase, component or "compressor")}
            )


def _largest(case: Case) -> Decimal:
    return max(case.number(slot) for slot in ("measured", "second", "third") if case.has(slot))


def _running_current(case: Case) -> Decision | None:
    amps, rated = _largest(case), case.number("rated")
    if case.has("locked rotor") and amps >= case.number("locked rotor") * Decimal("0.7"):
        return None  # the check of locked rotor speaks
    if case.has("maximum") and amps > case.number("maximum"):
        bound = on_plate("ampere", high=case.number("maximum"), source="maximum continuous current of the plate")
        return judged(case, amps, bound, f"{show(amps)} A over the maximum of {show(case.number('maximum'))} A")
    entry = case.limit("running-current.rated").share_of(rated, "ampere")
    formula = f"{show(amps)} A of {show(rated)} A rated load: {show(amps / rated * 100, 3)} %"
    return judged(case, amps, entry, formula)


RUNNING = Check(
    name="running-current",
    title="Running current against the nameplate",
    needs={
        "measured": current("the running current of the {component}"),
        "rated": RATED,
        "maximum": MAXIMUM,
        "locked rotor": plate("the locked-rotor current", "locked", required=False),
        "second": current("the current of the second leg", required=False),
        "third": current("the current of the third leg", required=False),
    },
    each=COMPRESSORS,
    decide=_running_current,
    gather=_running,
    subject="the current of the {component}",
    means={
        "marginal": "a note and no fault by itself; compare with the maker's table at these pressures",
        "high": "the protector may trip; look at voltage, condenser and pressures",
    },
    limits=("running-current.rated",),
    cautions=("live measuring",),
)


def _locked(bench: Bench, check: Check) -> Iterator[Case]:
    for phase in bench.phases:
        for component in ("compressor", *MOTORS):
            group = _measured(bench, check.needs["measured"], phase, component)
            if not group:
                continue
            slots = plates(bench, phase, component)
            slots.pop("maximum", None)
            amps = max(_amount(r) for r in group)
            rated = _amount(slots["rated"]) if "rated" in slots else None
            if "locked rotor" in slots or (rated and amps >= 3 * rated):
                largest = max(group, key=_amount)
                yield bench.case(check, phase, component, {"measured": largest, **slots})


def _locked_rotor(case: Case) -> Decision | None:
    amps, locked = case.number("measured"), case.number("locked rotor")
    share = amps / locked * 100
    entry = case.limit("locked-rotor.ratio")
    formula = f"{show(amps)} A / {show(locked)} A locked rotor = {show(share / 100, 3)}"
    if place(share, entry.limit)[0] is WITHIN:
        if not case.said("measured", *LOCKED):
            return None
        return judged(case, share, entry, formula)
    held = case.readings["measured"].held_for
    if (
        case.said("measured", *PEAK)
        and not case.said("measured", "locked", "stalled", "not turning", "humming")
        and (held is None or held < 1)
    ):
        return undetermined(
            case,
            "whether the current stays for two seconds",
            value=share,
            unit="percent",
            formula=formula,
            why="an inrush peak is no locked rotor",
            limits=(entry.limit,),
        )
    return judged(case, share, entry, formula)


LOCKED_ROTOR_CHECK = Check(
    name="locked-rotor",
    title="Locked rotor",
    needs={
        "measured": current("the current of the {component} while it tries to start", unsaid=()),
        "locked rotor": LOCKED_ROTOR,
        "rated": plate("the rated-load current", unsaid=OTHER_PLATES, required=False),
    },
    each=("compressor", *MOTORS),
    decide=_locked_rotor,
    gather=_locked,
    subject="the current of the {component}, as a share of its locked-rotor current,",
    means={
        "high": "the motor does not turn; which proves nothing against it yet: look first at the voltage at the "
        "contactor while it "
        "starts, start relay and capacitor, equalized pressures, all legs, and let the overload cool",
        "within": "the motor turns",
    },
    limits=("locked-rotor.ratio",),
    cautions=("live measuring",),
)


def _motor_current(case: Case) -> Decision | None:
    amps, rated = _largest(case), case.number("rated")
    if case.has("service factor"):
        factor = case.number("service factor")
        bound = on_plate(
            "ampere",
            high=rated,
            marginal_high=rated * factor,
            source="full-load current and service factor of the plate",
        )
        return judged(case, amps, bound, f"{show(amps)} A of {show(rated)} A x {show(factor)}")
    if amps >= rated * 3:
        return None  # the check of locked rotor speaks
    bound = case.limit("running-current.motor").share_of(rated, "ampere")
    return judged(case, amps, bound, f"{show(amps)} A of {show(rated)} A full load: {show(amps / rated * 100, 3)} %")


MOTOR = Check(
    name="motor-current",
    title="Current of a fan or pump motor",
    needs={
        "measured": current("the running current of the {component}"),
        "rated": plate("the full-load current on the motor's plate", unsaid=OTHER_PLATES, components=(OWN,)),
        "service factor": Need(
            Kind.PERCENT, "percent", "the service factor in per cent", roles=(NAMEPLATE,), required=False
        ),
        "second": current("the current of the second leg", required=False),
        "third": current("the current of the third leg", required=False),
    },
    each=MOTORS,
    decide=_motor_current,
    subject="the current of the {component}",
    means={
        "marginal": "look at blade, bearings and voltage",
        "high": "the motor is overloaded; look at blade, bearings, voltage and capacitor",
    },
    limits=("running-current.motor",),
    cautions=("live measuring", "moving parts"),
)


def _start_winding(case: Case) -> Decision | None:
    start, rated = case.number("start"), case.number("rated")
    main = case.number("main")
    if main < rated * Decimal("1.5") or start > main / 20:
        return None
    return stated(
        case,
        OUTSIDE,
        "The {component} draws much current and its start winding none: the start circuit is open; look at run "
        "capacitor, start relay and their wires.",
        Authority.PHYSICS,
        value=start,
        unit="ampere",
        formula=f"start winding {show(start)} A with {show(main)} A in the common",
        source="a split-phase motor turns only with current in both windings",
    )


START_WINDING = Check(
    name="start-winding-current",
    title="Current in the start winding",
    needs={
        "start": current("the current in the start winding", points=WINDING_POINTS, unsaid=()),
        "main": current(
            "the current in the common wire", points=(*pairs("common", "L1", "L2", "run"), frozenset()), unsaid=()
        ),
        "rated": RATED,
    },
    each=("compressor",),
    decide=_start_winding,
    almost=0,
    subject="the current in the start winding of the {component}",
    cautions=("live measuring",),
)


def _fan_group(case: Case) -> Decision:
    total, each = case.number("measured"), case.number("each")
    turning = total / each
    whole = turning.to_integral_value()
    off = (turning - whole) * 100
    entry = case.limit("fan-count.share")
    formula = f"{show(total)} A / {show(each)} A = {show(turning, 3)} motors"
    if case.has("expected"):
        wanted = case.number("expected")
        missing = ((wanted - total) / each).to_integral_value()
        if missing >= 1:
            return stated(
                case,
                OUTSIDE,
                f"The fans draw {shown(total, 'ampere')} of {shown(wanted, 'ampere')}: {missing} of them "
                "stands still, outside usual practice.",
                Authority.PRACTICE,
                value=total,
                unit="ampere",
                formula=formula,
                source=entry.limit.source,
            )
        return stated(
            case,
            WITHIN,
            f"The fans draw {shown(total, 'ampere')} of {shown(wanted, 'ampere')}: all of them take their current.",
            Authority.PRACTICE,
            value=total,
            unit="ampere",
            formula=formula,
            source=entry.limit.source,
        )
    if place(off, entry.limit)[0] is not WITHIN:
        return stated(
            case,
            MARGINAL,
            "The current of the fans is no multiple of one motor's: one may be slow or overloaded.",
            Authority.PRACTICE,
            value=total,
            unit="ampere",
            formula=formula,
            source=entry.limit.source,
        )
    return undetermined(
        case,
        "how many fans there are, or their current when all run",
        value=total,
        unit="ampere",
        formula=formula,
        why=f"the current is that of {whole}",
    )


FANS = Check(
    name="fans-by-current",
    title="Fans told by their current",
    needs={
        "measured": current("the current of all the fans together", said=("together", "all fans", "total")),
        "each": plate("the current of one fan motor", "each", components=(OWN,)),
        "expected": Need(
            Kind.CURRENT, "ampere", "the current with all fans running", roles=(EXPECTED,), required=False
        ),
    },
    each=("evaporator fan motor", "condenser fan motor"),
    decide=_fan_group,
    subject="the current of the fans",
    limits=("fan-count.share",),
    cautions=("moving parts",),
)

CHECKS = (
    RUNNING,
    LOCKED_ROTOR_CHECK,
    MOTOR,
    START_WINDING,
    FANS,
)
