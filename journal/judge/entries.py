"""One limit with its source and the equipment it is for."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Any

from journal.domain.verdict import Authority, Limit, Outcome
from journal.domain.visit import Equipment
from journal.judge.numbers import clean
from journal.judge.refrigerants import designation

BOUNDS = ("low", "high", "marginal_low", "marginal_high")


@dataclass(frozen=True, slots=True)
class Entry:
    """One limit of a data file: its span, on whose word it rests, and the equipment it is for.

    ``match`` is an all-of list of any-of lists of words looked for in the machine's type, use, name and place;
    ``unless`` silences the limit; ``worst`` is the severest outcome it may give.
    """

    key: str
    limit: Limit
    mark: str
    revision: str
    match: tuple[tuple[str, ...], ...] = ()
    unless: tuple[str, ...] = ()
    makers: tuple[str, ...] = ()
    refrigerants: tuple[str, ...] = ()
    components: tuple[str, ...] = ()
    worst: Outcome = Outcome.OUTSIDE
    note: str = ""

    @property
    def subject(self) -> str:
        return self.key.partition(".")[0]

    @property
    def weight(self) -> int:
        """How closely the limit names its equipment: the closest that fits is used, a company rule first."""
        parts = (self.makers, self.refrigerants, self.components)
        return len(self.match) + sum(bool(part) for part in parts) + 100 * (self.limit.authority is Authority.COMPANY)

    def around(self, nominal: Decimal, unit: str) -> Entry:
        """Return a limit in per cent above and below as a span around a nominal value: -10..10 % of 230 -> 207..253."""
        return self._scaled(unit, lambda bound: nominal * (100 + bound) / 100)

    def share_of(self, nominal: Decimal, unit: str) -> Entry:
        """Return a limit in per cent of a nominal value as a span: 0..3 % of 208 -> 0..6.24."""
        return self._scaled(unit, lambda bound: nominal * bound / 100)

    def _scaled(self, unit: str, scale: Callable[[Decimal], Decimal]) -> Entry:
        found = {name: getattr(self.limit, name) for name in BOUNDS}
        bounds: dict[str, Any] = {name: None if bound is None else clean(scale(bound)) for name, bound in found.items()}
        return dataclasses.replace(self, limit=dataclasses.replace(self.limit, unit=unit, **bounds))

    def bounded(self, **changes: Any) -> Entry:
        """Return a copy with other fields of its limit."""
        return dataclasses.replace(self, limit=dataclasses.replace(self.limit, **changes))

    def fits(self, equipment: Equipment | None, component: str | None = None) -> bool:
        """Return whether the limit is for this machine and part; a limit for named machines is silent on others."""
        words = words_of(equipment)
        if any(word in words for word in self.unless):
            return False
        if not all(any(word in words for word in anyof) for anyof in self.match):
            return False
        maker = (equipment.maker or "").lower() if equipment else ""
        if self.makers and not any(name in maker for name in self.makers):
            return False
        if self.refrigerants:
            name = equipment.refrigerant if equipment else None
            if name is None or designation(name) not in self.refrigerants:
                return False
        return not self.components or component in self.components


@lru_cache(maxsize=1024)
def words_of(equipment: Equipment | None) -> str:
    """Return what is known of a machine's sort, in lower case: its type, use, name and place."""
    if equipment is None:
        return ""
    parts = (equipment.type, equipment.use, equipment.name, equipment.location)
    return " ".join(part.lower() for part in parts if part)


_RECEIVER = re.compile(r"(?<!no )(?<!without )(?<!without a )\b(receiver|head.pressure control|flooded condenser)")


def has_receiver(equipment: Equipment | None) -> bool:
    """Return whether a machine's description names a receiver or head-pressure control ('no receiver' does not)."""
    return _RECEIVER.search(words_of(equipment)) is not None


@dataclass(frozen=True)
class Rule:
    """A company's own rule on one quantity, from a settings file."""

    name: str
    kind: str
    component: str | None
    limit: Limit
    match: tuple[tuple[str, ...], ...]


def on_plate(
    unit: str,
    *,
    low: Decimal | None = None,
    high: Decimal | None = None,
    marginal_low: Decimal | None = None,
    marginal_high: Decimal | None = None,
    source: str = "the nameplate",
    authority: Authority = Authority.NAMEPLATE,
) -> Entry:
    """Return the limit that a plate, a setting or a person's word sets for this one machine."""
    limit = Limit(unit, low, high, marginal_low, marginal_high, authority, source, "this machine")
    return Entry("plate.given", limit, "seen", "")
