"""Saturation of refrigerants: the only home of CoolProp.

Importing CoolProp takes seconds and a blend takes milliseconds a point, so saturation pressures stand ready in
``saturation.txt``, computed by CoolProp on a grid (``python -m journal.judge.refrigerants`` writes it anew); between
its points ln p is linear in 1/T to better than 0.01 K.  Only a refrigerant that is not in the table wakes CoolProp.

Pressures are absolute pascals, temperatures kelvin.  ``line`` is ``bubble`` (liquid, for subcooling) or ``dew``
(vapour, for superheat); for a single substance they are the same.
"""

from __future__ import annotations

import bisect
import difflib
import math
import re
import tomllib
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib import resources
from typing import Literal

Line = Literal["bubble", "dew"]
FIRST_KELVIN = 203.15  # -70 degC
STEP_KELVIN = 2.0
POINTS = 90


class NoSaturation(Exception):
    """There is no saturation value; the argument says why, as a clause."""


@dataclass(frozen=True, slots=True)
class Refrigerant:
    """A designation of ASHRAE 34 with what the journal needs to know of it."""

    name: str
    fluid: str | None
    group: str
    ozone: bool
    hfc: bool
    trade: tuple[str, ...] = ()

    @property
    def burns(self) -> bool:
        """True for the groups with flame propagation at test conditions (2, 2L, 3)."""
        return not self.group.endswith("1")


@cache
def refrigerants() -> dict[str, Refrigerant]:
    """Return the refrigerants in service by designation."""
    text = resources.files("journal.judge").joinpath("refrigerants.toml").read_text(encoding="utf-8")
    return {
        name: Refrigerant(name, e.get("fluid"), e["group"], e["ozone"], e["hfc"], tuple(e.get("trade", ())))
        for name, e in tomllib.loads(text).items()
    }


@cache
def _names() -> dict[str, str]:
    names = {}
    for entry in refrigerants().values():
        for written in (entry.name, *entry.trade):
            names[_bare(written)] = entry.name
    return names


def _bare(name: str) -> str:
    return re.sub(r"[^a-z0-9]", "", name.lower())


@lru_cache(maxsize=256)
def designation(name: str) -> str:
    """Return how a refrigerant is written here: 'r448a', '448A' and 'R-448A' are one.

    An unknown one comes back as it was given, in capitals.
    """
    bare = _bare(name)
    known = _names()
    return known.get(bare) or known.get("r" + bare) or name.strip().upper()


def nearest(name: str) -> str:
    """Return the known designation that looks most like a name."""
    close = difflib.get_close_matches(_bare(name), list(_names()), n=1, cutoff=0.0)
    return _names()[close[0]]


def known(name: str) -> Refrigerant | None:
    """Return the entry of a refrigerant in service, or ``None``."""
    return refrigerants().get(designation(name))


def saturation_temperature(name: str, pascals: float, line: Line) -> float:
    """Return the temperature in kelvin at which a refrigerant boils (bubble) or condenses (dew) at a pressure.

    Raises ``NoSaturation`` with the reason: no model, or a pressure outside the saturated range.
    """
    if not math.isfinite(pascals) or pascals <= 0:
        raise NoSaturation(f"no gas has an absolute pressure of {pascals:g} Pa")
    curve = _curve(designation(name), line)
    if curve is None:
        return _asked(designation(name), line, "P", pascals)
    logs, inverses = curve
    wanted = math.log(pascals)
    if not logs[0] <= wanted <= logs[-1]:
        low, high = math.exp(logs[0]) / 1e5, math.exp(logs[-1]) / 1e5
        raise NoSaturation(
            f"{designation(name)} has no {line} point at {pascals / 1e5:.2f} bar absolute (known from {low:.2f} "
            f"to {high:.1f})"
        )
    return 1.0 / _between(logs, inverses, wanted)


def saturation_pressure(name: str, kelvin: float, line: Line) -> float:
    """Return the absolute pressure in pascals at which a refrigerant is saturated at a temperature."""
    if not math.isfinite(kelvin) or kelvin <= 0:
        raise NoSaturation(f"{kelvin:g} K is no temperature")
    curve = _curve(designation(name), line)
    if curve is None:
        return _asked(designation(name), line, "T", kelvin)
    logs, inverses = curve
    falling = -1.0 / kelvin
    rising = [-x for x in inverses]
    if not rising[0] <= falling <= rising[-1]:
        raise NoSaturation(f"{designation(name)} is not saturated at {kelvin - 273.15:.1f} °C in the table")
    return math.exp(_between(rising, list(logs), falling))


def _between(xs: tuple[float, ...] | list[float], ys: tuple[float, ...] | list[float], x: float) -> float:
    """Interpolate linearly; ``xs`` rises and encloses ``x``."""
    i = min(max(bisect.bisect_right(xs, x), 1), len(xs) - 1)
    share = (x - xs[i - 1]) / (xs[i] - xs[i - 1])
    return ys[i - 1] + share * (ys[i] - ys[i - 1])


@cache
def _tables() -> dict[tuple[str, str], tuple[tuple[float, ...], tuple[float, ...]]]:
    """Return for each refrigerant and line the ln p and 1/T of its points, in the order of rising pressure."""
    tables = {}
    text = resources.files("journal.judge").joinpath("saturation.txt").read_text(encoding="utf-8")
    for row in text.splitlines():
        if not row or row.startswith("#"):
            continue
        name, line, numbers = (part.strip() for part in row.split("|"))
        points = [
            (math.log(float(p)), 1.0 / (FIRST_KELVIN + i * STEP_KELVIN))
            for i, p in enumerate(numbers.split())
            if p != "-"
        ]
        tables[name, line] = (tuple(p for p, _ in points), tuple(t for _, t in points))
    return tables


def _curve(name: str, line: Line) -> tuple[tuple[float, ...], tuple[float, ...]] | None:
    return _tables().get((name, line))


@lru_cache(maxsize=4096)
def _asked(name: str, line: Line, key: Literal["P", "T"], value: float) -> float:
    """Ask CoolProp for a refrigerant that is not in the table."""
    entry = refrigerants().get(name)
    if entry is not None and entry.fluid is None:
        raise NoSaturation(f"the property library has no mixture model for {name}")
    fluid = (entry.fluid if entry else None) or name.replace("-", "") + ".mix"
    try:
        return computed(fluid, line, key, value)
    except ValueError:
        raise NoSaturation(f"the property library gives no {line} point of {name} there") from None


def computed(fluid: str, line: Line, key: Literal["P", "T"], value: float) -> float:
    """Return what CoolProp says: kelvin for a pressure (``P``), pascals for a temperature (``T``)."""
    from CoolProp.CoolProp import PropsSI

    return float(PropsSI("T" if key == "P" else "P", key, value, "Q", 0 if line == "bubble" else 1, fluid))


def _row(fluid: str, line: Line) -> list[float | None]:
    """Return the pressures of one line on the grid; points that fail, or do not rise, are left out."""
    found: list[float | None] = []
    highest = 0.0
    for i in range(POINTS):
        try:
            pressure = computed(fluid, line, "T", FIRST_KELVIN + i * STEP_KELVIN)
        except ValueError:
            pressure = 0.0
        rises = math.isfinite(pressure) and pressure > highest
        highest = pressure if rises else highest
        found.append(pressure if rises else None)
    return found


def _head() -> str:
    from CoolProp import __version__

    return f"""\
# Saturation pressures of refrigerants, absolute pascals, computed with CoolProp {__version__}
# (Bell, Wronski, Quoilin, Lemort, Ind. Eng. Chem. Res. 53 (2014) 2498-2508).
#
#   designation | bubble or dew | pressures at -70 degC, -68 degC, ... ; '-' where the library gives none
#
# Written by: python -m journal.judge.refrigerants > journal/judge/saturation.txt
"""


def main() -> None:
    """Print the table."""
    print(_head(), end="")
    lines: tuple[Line, ...] = ("bubble", "dew")
    for entry in refrigerants().values():
        for line in lines if entry.fluid else ():
            numbers = ["-" if p is None else f"{p:.6g}" for p in _row(entry.fluid or "", line)]
            while numbers[-1] == "-":
                numbers.pop()
            print(f"{entry.name} | {line} | {' '.join(numbers)}")


if __name__ == "__main__":
    main()
