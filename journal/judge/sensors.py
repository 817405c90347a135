"""Temperature sensors by their resistance."""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from importlib import resources
from itertools import pairwise

from journal.domain.kind import Kind
from journal.domain.reading import State
from journal.domain.verdict import Authority
from journal.judge.answers import judged, stated, undetermined
from journal.judge.check import ANY, OUTSIDE, WITHIN, Case, Check, Decision, Need
from journal.judge.numbers import show


@dataclass(frozen=True, slots=True)
class Curve:
    """One thermistor: published points, or Steinhart-Hart coefficients."""

    name: str
    source: str
    points: tuple[tuple[float, float], ...] = ()  # (kelvin, ohms), warmer and lower going on
    steinhart: tuple[float, float, float] | None = None

    def fahrenheit(self, ohms: float) -> float | None:
        """Return the temperature of a resistance, or ``None`` outside the published points."""
        if ohms <= 0:
            return None
        log = math.log(ohms)
        if self.steinhart is not None:
            a, b, c = self.steinhart
            inverse = a + b * log + c * log**3
            kelvin = 1 / inverse if inverse > 0 else math.inf
            return kelvin * 1.8 - 459.67 if 200 < kelvin < 420 else None
        for (t0, r0), (t1, r1) in pairwise(self.points):
            if r1 <= ohms <= r0:
                share = (log - math.log(r0)) / (math.log(r1) - math.log(r0))
                return 1 / (1 / t0 + share * (1 / t1 - 1 / t0)) * 1.8 - 459.67
        return None


@cache
def curves() -> dict[str, Curve]:
    """Return the thermistor curves by name."""
    text = resources.files("journal.judge").joinpath("sensors.toml").read_text(encoding="utf-8")
    found = {}
    for name, entry in tomllib.loads(text).items():
        points = tuple(
            (c + 273.15, float(r)) for c, r in zip(entry.get("celsius", ()), entry.get("ohms", ()), strict=True)
        )
        coefficients = entry.get("steinhart")
        found[name] = Curve(name, entry["source"], points, tuple(coefficients) if coefficients else None)
    return found


def _sensor(case: Case) -> Decision:
    state = case.state("measured")
    if state is not None:
        words = {State.OPEN: "open", State.SHORT: "shorted"}.get(state)
        if words is None:
            return undetermined(case, "the sensor's resistance in ohms")
        return stated(
            case,
            OUTSIDE,
            f"The sensor is {words}: its control sees no temperature.",
            Authority.PHYSICS,
            formula=words,
            source="Ohm's law",
        )
    ohms, probe = float(case.number("measured")), case.number("probe")
    wanted = case.choices.get("curve")
    if wanted is not None and wanted not in curves():
        return undetermined(case, f"a known curve: {', '.join(curves())}", why=f"no curve is called '{wanted}'")
    candidates = [curves()[wanted]] if wanted else list(curves().values())
    told = [(curve, curve.fahrenheit(ohms)) for curve in candidates]
    known = [(curve, Decimal(f"{t:.2f}")) for curve, t in told if t is not None]
    if not known:
        return undetermined(case, "the sensor's curve", why="its resistance lies outside the published points")
    curve, temperature = min(known, key=lambda pair: abs(pair[1] - probe))
    ice = case.said("probe", "ice")
    entry = case.limit("sensor.ice-bath" if ice else "sensor.error")
    formula = (
        f"{show(Decimal(str(ohms)))} ohm is {show(temperature)} °F on {curve.name} ({curve.source}); "
        f"probe {show(probe)} °F"
    )
    decision = judged(
        case, temperature - probe, entry, formula, note="" if wanted else f"taken for a {curve.name} sensor"
    )
    if wanted is None and decision.outcome is not WITHIN:
        return undetermined(
            case,
            "which curve the sensor has",
            value=temperature - probe,
            unit="delta_degF",
            formula=formula,
            why="it fits none of the known curves",
            limits=(entry.limit,),
        )
    return decision


SENSOR = Check(
    name="sensor",
    title="Temperature sensor by its resistance",
    needs={
        "measured": Need(
            Kind.RESISTANCE, "ohm", "the sensor's resistance, unplugged", components=("sensor",), states=True
        ),
        "probe": Need(
            Kind.TEMPERATURE,
            "degF",
            "a probe beside the sensor, or ice water",
            components=("sensor", "return air", "box", "coil", ANY),
        ),
    },
    decide=_sensor,
    trigger=("measured",),
    subject="the sensor, less the probe,",
    means={"low": "the sensor reads cold", "high": "the sensor reads warm", "marginal": "try it in ice water"},
    limits=("sensor.error", "sensor.ice-bath"),
    facts=("curve",),
)

CHECKS = (SENSOR,)
