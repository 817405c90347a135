"""Rules on refrigerants with their dates: leak-rate thresholds, recovery levels, what a record must hold.

The rules are those of the United States; every text that uses them defers to the regulation in force at the place.
"""

from __future__ import annotations

import datetime as dt
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from importlib import resources
from typing import Any

from journal.judge import refrigerants
from journal.judge.numbers import PASCALS_PER_PSI

SECTORS = ("industrial process", "commercial refrigeration", "comfort cooling")
CLASS_KELVIN = 313.15  # 104 degF, 40 CFR 82.152


@dataclass(frozen=True, slots=True)
class LeakRule:
    """One rule on leak rates: whom it holds for, and since when."""

    name: str
    ozone: bool
    hfc: bool
    least_charge: Decimal  # pounds
    since: dt.date
    source: str
    mark: str

    def holds(self, refrigerant: refrigerants.Refrigerant, charge: Decimal, on: dt.date) -> bool:
        """Return whether the rule holds for a full charge in pounds on a day."""
        kind = (self.ozone and refrigerant.ozone) or (self.hfc and refrigerant.hfc and not refrigerant.ozone)
        return kind and charge >= self.least_charge and on >= self.since


@dataclass(frozen=True, slots=True)
class RecoveryRule:
    """The vacuum in inHg a rule asks for before a circuit is opened, or ``None`` with what to ask."""

    required: Decimal | None
    why: str
    ask: str = ""


@cache
def _data() -> dict[str, Any]:
    text = resources.files("journal.judge").joinpath("regulations.toml").read_text(encoding="utf-8")
    return tomllib.loads(text, parse_float=Decimal)


@cache
def leak_rules() -> tuple[LeakRule, ...]:
    return tuple(
        LeakRule(
            r["name"],
            r["refrigerants"] == "ozone",
            r["refrigerants"] == "hfc",
            Decimal(r["least_charge"]),
            r["from"],
            r["source"],
            r["mark"],
        )
        for r in _data()["leak-rule"]
    )


def leak_rule(name: str, charge: Decimal, on: dt.date) -> LeakRule | None:
    """Return the federal rule that asks for action on a leak rate, or ``None``.

    >>> leak_rule("R-404A", Decimal(150), dt.date(2026, 3, 1)).name
    '40 CFR 84.106'
    >>> leak_rule("R-404A", Decimal(150), dt.date(2025, 3, 1)) is None
    True
    >>> leak_rule("R-22", Decimal(60), dt.date(2025, 3, 1)).name
    '40 CFR 82.157(c)(2)'
    """
    entry = refrigerants.known(name)
    if entry is None:
        return None
    return next((rule for rule in leak_rules() if rule.holds(entry, charge, on)), None)


def pressure_class(name: str) -> str:
    """Return ``low``, ``medium``, ``high`` or ``very high``: the saturation at 104 degF (40 CFR 82.152, from memory).

    >>> pressure_class("R-134a"), pressure_class("R-404A"), pressure_class("R-410A"), pressure_class("R-32")
    ('medium', 'high', 'high', 'very high')
    """
    pascals = refrigerants.saturation_pressure(name, CLASS_KELVIN, "bubble")
    psia = Decimal(str(pascals)) / PASCALS_PER_PSI
    for label, upper in _data()["recovery"]["classes"].items():
        if psia < upper:
            return str(label)
    return "very high"


def recovery_rule(name: str, charge: Decimal | None, *, old_machine: bool = False) -> RecoveryRule:
    """Return how far an appliance is evacuated before it is opened (40 CFR 82.156(a) table 1).

    ``charge`` is the full charge in pounds; ``old_machine``: recovery machine made before 1993-11-15.

    >>> recovery_rule("R-404A", Decimal(350)).required, recovery_rule("R-134a", Decimal(250)).required
    (Decimal('10'), Decimal('15'))
    """
    data = _data()["recovery"]
    entry = refrigerants.known(name)
    if entry is not None and entry.group == "A3":
        ask = (
            "what holds for flammable refrigerants at the place (vented outdoors or recovered with equipment "
            "made for it)"
        )
        return RecoveryRule(None, f"{entry.name} follows rules of its own", ask)
    label = pressure_class(name)
    if label == "low":
        return RecoveryRule(
            None, "a low-pressure machine is evacuated to 25 mmHg absolute", "the pressure in mmHg absolute"
        )
    if charge is None and label != "very high":
        return RecoveryRule(None, "the level depends on the charge", "the full charge of the appliance")
    if charge is not None and charge <= data["small_charge"]:
        return RecoveryRule(
            None,
            "a small sealed appliance follows a rule of its own: 80 % of the charge, 90 % with the compressor running",
            "the weight recovered, of the charge",
        )
    if label == "very high" or charge is None:
        key = "very-high"
    else:
        key = f"{label}-{'large' if charge >= data['large']['charge'] else 'small'}"
    return RecoveryRule(Decimal(data["vacuum"][key][0 if old_machine else 1]), f"{data['source']} ({label} pressure)")


def record_fields() -> tuple[Mapping[str, str], ...]:
    """Return what a refrigerant record must hold: name, what to ask, source and mark of each field."""
    return tuple(_data()["field"])


def missing_from_record(given: Mapping[str, str]) -> tuple[str, ...]:
    """Return what a refrigerant record still lacks, as questions.

    >>> missing_from_record({f["name"]: "x" for f in record_fields() if f["name"] != "amount"})
    ('the amount added or removed, for each',)
    """
    return tuple(field["asks"] for field in record_fields() if not given.get(field["name"], "").strip())


def sector_of(words: str) -> str | None:
    """Return the sector a machine belongs to by the words of its type: one of ``SECTORS``.

    >>> sector_of("walk-in freezer"), sector_of("rooftop unit")
    ('commercial refrigeration', 'comfort cooling')
    """
    for sector, hints in _data()["sectors"].items():
        if any(hint in words for hint in hints):
            return str(sector)
    return None
