"""Readings in words that a voice can speak: units by name, places before numbers."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from functools import cache
from importlib import resources

from journal.domain.reading import Alternative, Reading


def amount(reading: Reading, other: Alternative | None = None) -> str:
    """Return what was read, or what else it may have been, as it would be said: '3.4 ohms', 'open'."""
    state = other.state if other and other.state else reading.state
    value = other.value if other and other.value is not None else reading.value
    unit = unit_name(other.unit if other and other.unit else reading.unit)
    if state is not None and not (other and other.value is not None):
        return state.value
    if value is not None:
        return f"{number(value)} {unit}".strip()
    if reading.low is not None and reading.high is not None:
        return f"{number(reading.low)} to {number(reading.high)} {unit}".strip()
    bound = reading.low if reading.low is not None else reading.high
    how = "more than" if reading.low is not None else "less than"
    return f"{how} {number(bound)} {unit}".strip() if bound is not None else ""


def number(value: Decimal) -> str:
    """Return a decimal as it was said, 'minus' in words."""
    return format(value, "f").replace("-", "minus ")


def place(reading: Reading) -> str:
    """Return where it was read: 'compressor, common to run'; the kind of quantity where nothing else is known."""
    parts = [reading.component or "", " to ".join(reading.points)]
    return ", ".join(part for part in parts if part) or reading.kind.value


def digits(value: Decimal) -> str:
    """Return a number digit by digit: 15 is 'one five', 3.4 is 'three point four'."""
    names = _table()["digits"]
    return " ".join(names[sign] for sign in format(value, "f"))


def unit_name(code: str | None) -> str:
    """Return how a unit is said."""
    if code is None:
        return ""
    return _table()["units"].get(code, code.replace("_", " "))


@cache
def _table() -> dict[str, dict[str, str]]:
    text = resources.files("journal.live").joinpath("spoken.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text)
    return {"digits": data["digits"], "units": data["units"]}
