"""The named facts of a record: their labels, their groups, and which of them a customer may read (``fields.toml``)."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from journal.domain.visit import Field
from journal.keep.complete import field_names

OTHER = "other"  # the group of a name that is not listed


@dataclass(frozen=True, slots=True)
class KnownField:
    """One name that a record's facts usually have; ``example`` is how its value is written."""

    name: str
    label: str
    group: str
    customer: bool
    example: str


@cache
def known_fields() -> dict[str, KnownField]:
    """Return every listed name, group by group."""
    about = _data()["field"]
    return {
        name: KnownField(name, about[name]["label"], group, about[name]["customer"], about[name]["as"])
        for group, names in field_names().items()
        for name in names
    }


def heading_of(group: str) -> str:
    """Return the heading a group of facts has of its own, or nothing."""
    return str(_data()["heading"].get(group, ""))


def demanded_places() -> dict[str, str]:
    """Return where each demanded part of a refrigerant record stands in a visit."""
    return dict(_data()["demanded"])


def group_of(name: str) -> str:
    """Return the group of a name; unknown names are ``other``."""
    field = known_fields().get(name)
    return field.group if field else OTHER


def labelled(facts: Iterable[Field], *groups: str, customer: bool = False) -> tuple[tuple[str, str], ...]:
    """Return the facts of some groups as (label, value), in the list's order, what is not listed at the end.

    ``customer``: only those a customer may read; a name that is not listed is none of them.
    """
    order = list(known_fields())
    mine = [fact for fact in facts if group_of(fact.name) in groups and (not customer or customer_may_read(fact.name))]
    mine.sort(key=lambda fact: order.index(fact.name) if fact.name in order else len(order))
    return tuple((label_of(fact.name), _value(fact, customer)) for fact in mine if fact.value.strip())


def _value(fact: Field, customer: bool) -> str:
    """The value, and that somebody still has to confirm it; why is told to the office only."""
    if not fact.doubts:
        return fact.value
    why = "" if customer else f": {fact.doubts[0].why.rstrip('. ')}"
    return f"{fact.value} (still to be confirmed{why})"


def bill_blocks() -> dict[str, tuple[str, ...]]:
    """Return the blocks of what a bill is written from, each with the names of its facts."""
    return {block: tuple(names) for block, names in _data()["bill"]["facts"].items()}


def fitting_actions() -> frozenset[str]:
    """Return the actions that put a part in."""
    return frozenset(_data()["bill"]["fitted"])


def label_of(name: str) -> str:
    field = known_fields().get(name)
    return field.label if field else name.capitalize()


def customer_may_read(name: str) -> bool:
    field = known_fields().get(name)
    return field is not None and field.customer


@cache
def _data() -> dict[str, Any]:
    return tomllib.loads(resources.files("journal.present").joinpath("fields.toml").read_text(encoding="utf-8"))
