"""Pressure and temperature controls."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import Reading, Role
from journal.judge import refrigerants
from journal.judge.answers import judged, undetermined, worst_of
from journal.judge.check import NAMEPLATE, OWN, SETTING, Case, Check, Decision, Need
from journal.judge.entries import Entry
from journal.judge.numbers import PASCALS_PER_PSI, show
from journal.judge.select import Bench

LOW, HIGH = "low pressure control", "high pressure control"


CONTROLS = (LOW, HIGH, "fan cycling control", "oil pressure control")


_IN, _OUT = (
    ("cut in", "cut-in", "made", "makes", "closes"),
    ("cut out", "cut-out", "broke", "opens", "trips", "tripped"),
)


def _by_words(found: list[Reading], words: tuple[str, ...]) -> Reading | None:
    return next((r for r in found if any(w in c for c in r.conditions for w in words)), None)


def acting_points(bench: Bench, component: str, role: Role) -> dict[str, Reading]:
    """Return cut-in and cut-out of a control, the latest of each.

    Two pressures that do not say which is which tell themselves apart: a low-pressure control closes on the higher,
    a high-pressure control opens on it.
    """
    pool = [r for r in bench.by_key.get((Kind.PRESSURE, role, component), ()) if r.number is not None]
    named = {"cut-in": _by_words(pool, _IN), "cut-out": _by_words(pool, _OUT)}
    found = {slot: reading for slot, reading in named.items() if reading is not None}
    bare = [r for r in pool if not any(w in c for c in r.conditions for w in (*_IN, *_OUT, "differential"))][:2]
    if not found and len(bare) == 2 and bare[0].number != bare[1].number:
        lower, higher = sorted(bare, key=lambda r: r.number or Decimal(0))
        return {"cut-in": higher, "cut-out": lower} if component != HIGH else {"cut-in": lower, "cut-out": higher}
    return found


def _settings(bench: Bench, check: Check) -> Iterator[Case]:
    for phase in bench.phases:
        slots = {slot: r for slot, r in acting_points(bench, LOW, Role.SETTING).items() if r.phase is phase}
        if len(slots) < 2:
            continue
        pool = bench.by_key.get((Kind.PRESSURE, Role.SETTING, LOW), ())
        differential = _by_words(list(pool), ("differential",))
        if differential is not None:
            slots["differential"] = differential
        yield bench.case(check, phase, LOW, slots)


def setting(ask: str, component: str = OWN, *, said: tuple[str, ...] = (), required: bool = True) -> Need:
    return Need(Kind.PRESSURE, "psi", ask, roles=(SETTING,), components=(component,), said=said, required=required)


def _low_settings(case: Case) -> Decision:
    cut_in, cut_out = case.number("cut-in"), case.number("cut-out")
    span = cut_in - cut_out
    formula = f"cut-in {show(cut_in)} - cut-out {show(cut_out)} = {show(span)} psi"
    if case.refrigerant:
        try:
            formula += (
                f"; {show(case.saturation('cut-in', 'dew'))} and {show(case.saturation('cut-out', 'dew'))} °F dew"
            )
        except refrigerants.NoSaturation as reason:
            formula += f" ({reason})"
    decisions = [judged(case, span, case.limit("control-differential.low"), formula)]
    decisions.append(
        judged(
            case,
            cut_out,
            case.limit("control-cut-out.low"),
            formula,
            subject="the cut-out",
            means={"marginal": "below the atmosphere the low side draws air through a leak"},
        )
    )
    if case.has("differential"):
        off = cut_out - (cut_in - case.number("differential"))
        decisions.append(
            judged(
                case,
                off,
                case.limit("control-arithmetic.low"),
                f"{show(cut_in)} - {show(case.number('differential'))} should be {show(cut_out)} psi: off by "
                f"{show(off)}",
                subject="the cut-out against cut-in less differential",
            )
        )
    return worst_of(decisions)


LOW_SETTINGS = Check(
    name="low-pressure-settings",
    title="Settings of the low-pressure control",
    needs={
        "cut-in": setting("the cut-in", LOW),
        "cut-out": setting("the cut-out", LOW),
        "differential": setting("the differential", LOW, said=("differential",), required=False),
    },
    each=(LOW,),
    decide=_low_settings,
    gather=_settings,
    subject="the differential of the low-pressure control",
    means={"low": "it will short-cycle, or cut-in and cut-out are exchanged", "marginal": "it may short-cycle"},
    limits=("control-differential.low", "control-cut-out.low", "control-arithmetic.low"),
)


def _actions(bench: Bench, check: Check) -> Iterator[Case]:
    for phase in bench.phases:
        for component in CONTROLS:
            settings = acting_points(bench, component, Role.SETTING)
            acted = {s: r for s, r in acting_points(bench, component, Role.MEASURED).items() if r.phase is phase}
            slots = {f"{slot} measured": reading for slot, reading in acted.items() if slot in settings}
            slots |= {slot: settings[slot] for slot in acted if slot in settings}
            if slots:
                yield bench.case(check, phase, component, slots)


def _action(case: Case) -> Decision | None:
    entry: Entry = case.best("control-action") or case.limit("control-action.low")
    decisions = []
    for slot in ("cut-in", "cut-out"):
        if case.has(slot, f"{slot} measured"):
            off = case.number(f"{slot} measured") - case.number(slot)
            formula = (
                f"{slot} at {show(case.number(f'{slot} measured'))}, set {show(case.number(slot))}: {show(off)} psi"
            )
            decisions.append(
                judged(case, off, entry, formula, subject=f"the {slot} of the {{component}}, less its setting,")
            )
    return (
        worst_of(decisions)
        if decisions
        else undetermined(case, "where the {component} opens and closes, and its settings")
    )


ACTION = Check(
    name="control-action",
    title="A control against its setting",
    needs={
        "cut-out measured": Need(Kind.PRESSURE, "psi", "the pressure at which it opens", required=False),
        "cut-in measured": Need(Kind.PRESSURE, "psi", "the pressure at which it closes", required=False),
        "cut-in": setting("the cut-in setting", required=False),
        "cut-out": setting("the cut-out setting", required=False),
    },
    each=CONTROLS,
    decide=_action,
    gather=_actions,
    subject="the {component}",
    means={
        "low": "it acts too early or late: set it anew or see its capillary",
        "high": "it acts too early or late: set it anew or see its capillary",
    },
    limits=("control-action.low", "control-action.high"),
)


def _high_setting(case: Case) -> Decision:
    cut_out, plate = case.number("cut-out"), case.number("plate")
    formula = f"cut-out {show(cut_out)} psig, plate {show(plate)} psig"
    if case.refrigerant:
        try:
            formula += f"; {show(case.saturation('cut-out', 'bubble'))} °F bubble"
        except refrigerants.NoSaturation as reason:
            formula += f" ({reason})"
    return judged(case, cut_out, case.limit("high-control.plate").share_of(plate, "psi"), formula)


HIGH_SETTING = Check(
    name="high-pressure-setting",
    title="High-pressure control against the plate",
    needs={
        "cut-out": Need(
            Kind.PRESSURE,
            "psi",
            "the cut-out of the high-pressure control",
            roles=(SETTING,),
            components=(HIGH,),
            said=(),
        ),
        "plate": Need(
            Kind.PRESSURE,
            "psi",
            "the high-side design pressure",
            roles=(NAMEPLATE,),
            components=("discharge", "condenser", "condensing unit"),
        ),
    },
    each=(HIGH,),
    decide=_high_setting,
    subject="the cut-out of the high-pressure control",
    means={"high": "it would open after the plate's pressure is passed"},
    limits=("high-control.plate",),
    almost=0,
)


def _ambient_cut_in(case: Case) -> Decision:
    kelvin = float((case.number("ambient") + Decimal("459.67")) / Decimal("1.8"))
    absolute = Decimal(str(refrigerants.saturation_pressure(case.refrigerant or "", kelvin, "dew"))) / PASCALS_PER_PSI
    air = Decimal(str(case.around.atmosphere)) / PASCALS_PER_PSI
    margin = absolute - air - case.number("cut-in")
    formula = (
        f"{show(case.number('ambient'))} °F is {show(absolute - air)} psig; cut-in {show(case.number('cut-in'))} psig"
    )
    return judged(case, margin, case.limit("cut-in-ambient.low"), formula)


def _ambient_settings(bench: Bench, check: Check) -> Iterator[Case]:
    for case in _settings(bench, check):
        for phase in bench.phases:
            found = next(bench.candidates(check.needs["ambient"], phase, LOW), None)
            if found is not None and str(phase) == case.phase:
                yield bench.case(check, phase, LOW, {"cut-in": case.readings["cut-in"], "ambient": found})


CUT_IN_AMBIENT = Check(
    name="cut-in-against-ambient",
    title="Cut-in of an outdoor unit against the ambient",
    needs={
        "cut-in": setting("the cut-in", LOW),
        "ambient": Need(Kind.TEMPERATURE, "degF", "the coldest ambient", components=("ambient",), shared=True),
    },
    each=(LOW,),
    decide=_ambient_cut_in,
    gather=_ambient_settings,
    subject="the saturation at this ambient, less the cut-in,",
    means={"marginal": "at this ambient the control may not close again"},
    limits=("cut-in-ambient.low",),
    facts=("refrigerant",),
    almost=0,
)


def _freezestat(case: Case) -> Decision:
    value = case.number("measured")
    entry = case.best("freezestat") or case.limit("freezestat.usual")
    return judged(case, value, entry, f"opens at {show(value)} °F")


FREEZESTAT = Check(
    name="freezestat",
    title="Freezestat",
    needs={
        "measured": Need(
            Kind.TEMPERATURE,
            "degF",
            "the temperature at which it opens",
            components=("thermostat", "sensor", "coil"),
            said=("freezestat",),
        )
    },
    decide=_freezestat,
    subject="the freezestat's opening",
    means={"low": "it opens too late: the coil may freeze", "high": "it opens too early"},
    limits=("freezestat.open", "freezestat.usual"),
    facts=("maker",),
)

CHECKS = (
    LOW_SETTINGS,
    ACTION,
    HIGH_SETTING,
    CUT_IN_AMBIENT,
    FREEZESTAT,
)
