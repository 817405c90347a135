"""Checks of boxes and what is in them: temperature against use and setting, products, displays, short cycling."""

from __future__ import annotations

from journal.domain.kind import Kind
from journal.domain.reading import Trend
from journal.judge.answers import judged, undetermined
from journal.judge.check import OUTSIDE, OWN, SETTING, WITHIN, Case, Check, Decision, Need
from journal.judge.numbers import show

UNSETTLED = ("defrost", "door", "pull-down", "pull down", "pulldown", "loading")
BOX = Need(Kind.TEMPERATURE, "degF", "the box temperature", components=("box", "return air"))


def _box(case: Case) -> Decision | None:
    value = case.number("measured")
    if case.said("measured", *UNSETTLED):
        return undetermined(
            case,
            "the box temperature when it has settled",
            value=value,
            unit="degF",
            why="it was read in or after defrost, pull-down or with the door open",
        )
    entry = case.best("box-temperature")
    if entry is None:
        if case.component == "return air":
            return None
        return undetermined(
            case, "what the box is used for", value=value, unit="degF", why="no usual temperature is known for it"
        )
    note = {Trend.MOVING: "it was still moving", Trend.HUNTING: "it was swinging"}.get(
        case.readings["measured"].trend or Trend.STEADY, ""
    )
    return judged(case, value, entry, f"{show(value)} °F in the box", note=note)


TEMPERATURE = Check(
    name="box-temperature",
    title="Box temperature against its use",
    needs={"measured": Need(Kind.TEMPERATURE, "degF", "the box temperature", components=("box",))},
    decide=_box,
    subject="the box",
    means={
        "high": "too warm for its use; look at the products",
        "low": "colder than its use; look at products and thermostat",
        "marginal": "watch it; air is no product, and doors and defrost move it",
    },
    limits=(
        "box-temperature.cooler",
        "box-temperature.freezer",
        "box-temperature.ice-cream",
        "box-temperature.produce",
    ),
    facts=("type", "use"),
)


def _setting(case: Case) -> Decision:
    if case.said("measured", *UNSETTLED):
        return undetermined(
            case,
            "the box temperature when it has settled",
            why="it was read in or after defrost, pull-down or with the door open",
        )
    difference = case.number("measured") - case.number("setting")
    formula = f"{show(case.number('measured'))} °F - {show(case.number('setting'))} °F set = {show(difference)} °F"
    return judged(case, difference, case.limit("box-setting.difference"), formula)


AGAINST_SETTING = Check(
    name="box-against-setting",
    title="Box temperature against its setting",
    needs={
        "measured": BOX,
        "setting": Need(
            Kind.TEMPERATURE,
            "degF",
            "the thermostat's setting",
            roles=(SETTING,),
            components=("thermostat", "box", "defrost control", "control board", None),
        ),
    },
    decide=_setting,
    subject="the box, less its setting,",
    means={
        "high": "the machine does not keep up, or the thermostat does not call",
        "low": "the thermostat does not stop it",
    },
    limits=("box-setting.difference",),
    almost=0,
)


def _product(case: Case) -> Decision:
    value = case.number("measured")
    entry = case.best("product-temperature") or case.limit("product-temperature.cold")
    warm = value > 41 and entry.key != "product-temperature.hot"
    return judged(case, value, entry, f"{show(value)} °F in the product", cautions=("food",) if warm else ())


PRODUCT = Check(
    name="product-temperature",
    title="Food temperature",
    needs={"measured": Need(Kind.TEMPERATURE, "degF", "the temperature inside the product", components=("product",))},
    decide=_product,
    subject="the product",
    means={
        "high": "the person in charge decides with the local health code whether it is kept",
        "low": "too cool for hot holding",
    },
    limits=("product-temperature.cold", "product-temperature.frozen", "product-temperature.hot"),
    facts=("type", "use"),
)


def _display(case: Case) -> Decision:
    difference = case.number("display") - case.number("probe")
    return judged(
        case,
        difference,
        case.limit("display.difference"),
        f"{show(case.number('display'))} °F on the display - {show(case.number('probe'))} °F = {show(difference)} °F",
    )


DISPLAY = Check(
    name="display-against-probe",
    title="Controller's display against a probe",
    needs={
        "display": Need(
            Kind.TEMPERATURE,
            "degF",
            "what the controller shows",
            components=("control board", "thermostat", "sensor", "box"),
            said=("display", "shows", "controller"),
        ),
        "probe": Need(
            Kind.TEMPERATURE,
            "degF",
            "a probe beside the sensor",
            components=("box", "return air", OWN),
            unsaid=("display", "shows", "controller"),
        ),
    },
    decide=_display,
    almost=0,
    subject="the display, less the probe,",
    means={
        "high": "the sensor reads warm and the machine overcools",
        "low": "the sensor reads cold and the box stays warm",
        "marginal": "set the offset or check the sensor in ice water",
    },
    limits=("display.difference",),
)


def _run_time(case: Case) -> Decision:
    minutes = case.number("run")
    decision = judged(case, minutes, case.limit("short-cycling.run"), f"runs {show(minutes)} min")
    if not case.has("off"):
        return decision
    cycle = minutes + case.number("off")
    if cycle <= 0:
        return undetermined(case, "how long it runs and stands")
    starts = 60 / cycle
    formula = f"60 / ({show(minutes)} + {show(case.number('off'))} min) = {show(starts, 3)} starts an hour"
    second = judged(
        case, starts / 8 * 100, case.limit("short-cycling.cycles"), formula, subject="the starts an hour, of eight,"
    )
    return second if second.outcome is OUTSIDE or decision.outcome is WITHIN else decision


CYCLING = Check(
    name="short-cycling",
    title="Short cycling",
    needs={
        "run": Need(
            Kind.DURATION,
            "minute",
            "how long the compressor runs",
            components=("compressor", "condensing unit", None),
            said=("run",),
        ),
        "off": Need(
            Kind.DURATION,
            "minute",
            "how long it stands",
            components=("compressor", "condensing unit", None),
            said=("off", "stands"),
            required=False,
        ),
    },
    decide=_run_time,
    subject="the compressor's running time",
    means={
        "low": "it short-cycles: look at controls, charge, overload and condenser",
        "high": "it short-cycles: look at controls, charge, overload and condenser",
    },
    limits=("short-cycling.run", "short-cycling.cycles"),
)

CHECKS = (TEMPERATURE, AGAINST_SETTING, PRODUCT, DISPLAY, CYCLING)
