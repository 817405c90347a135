"""What a settings file may change: any limit, and rules of a company."""

from __future__ import annotations

import dataclasses
import difflib
from collections.abc import Iterable, Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any

from journal.domain.unit_table import unit_table
from journal.domain.verdict import Authority, Limit
from journal.errors import SettingsUnusable
from journal.judge.entries import BOUNDS, Entry, Rule

COMPANY = "company"


def changed(
    known: Mapping[str, Entry], given: tuple[Rule, ...], settings: Mapping[str, Any], path: Path
) -> tuple[dict[str, Entry], tuple[Rule, ...]]:
    """Return limits and company rules as a settings file leaves them; raises ``SettingsUnusable``."""
    entries, rules = dict(known), list(given)
    for subject, names in settings.items():
        table = _table(path, subject, names)
        if subject == COMPANY:
            for name, fields in table.items():
                _add_company(path, name, _table(path, name, fields), entries, rules)
            continue
        there = [key.partition(".")[2] for key in entries if key.partition(".")[0] == subject]
        if not there:
            _unknown(path, subject, [key.partition(".")[0] for key in entries] + [COMPANY])
        for name, fields in table.items():
            key = f"{subject}.{name}"
            if name not in there:
                _unknown(path, key, [f"{subject}.{other}" for other in there])
            entries[key] = _changed(path, entries[key], _table(path, key, fields))
    return entries, tuple(rules)


def _table(path: Path, name: str, value: object) -> Mapping[str, Any]:
    if not isinstance(value, Mapping):
        raise SettingsUnusable(
            path, f"'{name}' holds {value!r}", "It has to be a table of its own, as [limits.subject.name]."
        )
    return value


def _unknown(path: Path, key: str, known: Iterable[str]) -> None:
    names = sorted(set(known))
    close = difflib.get_close_matches(key, names, n=1, cutoff=0.0)
    raise SettingsUnusable(path, f"'{key}' is not a limit", f"The nearest one is '{close[0]}'.")


def _bounds(path: Path, key: str, fields: Mapping[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for name in BOUNDS:
        if name in fields:
            value = fields[name]
            if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
                raise SettingsUnusable(path, f"'{key}.{name}' is {value!r}", "It has to be a number.")
            number = Decimal(str(value))
            if not number.is_finite():
                raise SettingsUnusable(path, f"'{key}.{name}' is {value!r}", "It has to be a finite number.")
            found[name] = number
    return found


def _changed(path: Path, entry: Entry, fields: Mapping[str, Any]) -> Entry:
    for name in fields:
        if name not in (*BOUNDS, "source"):
            _unknown(path, f"{entry.key}.{name}", [f"{entry.key}.{b}" for b in (*BOUNDS, "source")])
    source = str(fields.get("source", "")) or f"company setting in place of: {entry.limit.source}"
    limit = dataclasses.replace(
        entry.limit,
        **_bounds(path, entry.key, fields),
        source=source,
        authority=Authority.COMPANY,
        changed_by=str(path),
    )
    _check_order(path, entry.key, limit)
    return dataclasses.replace(entry, limit=limit)


def _check_order(path: Path, key: str, limit: Limit) -> None:
    steps = [limit.marginal_low, limit.low, limit.high, limit.marginal_high]
    given = [step for step in steps if step is not None]
    if given != sorted(given):
        raise SettingsUnusable(
            path, f"the bounds of '{key}' do not run upwards", "Write marginal_low <= low <= high <= marginal_high."
        )


_COMPANY_FIELDS = (*BOUNDS, "subject", "kind", "component", "unit", "source", "match", "applies_to")


def _add_company(
    path: Path, name: str, fields: Mapping[str, Any], entries: dict[str, Entry], rules: list[Rule]
) -> None:
    for part in fields:
        if part not in _COMPANY_FIELDS:
            _unknown(path, f"{COMPANY}.{name}.{part}", [f"{COMPANY}.{name}.{f}" for f in _COMPANY_FIELDS])
    where = f"{COMPANY}.{name}"
    unit = fields.get("unit")
    if unit not in unit_table():
        close = difflib.get_close_matches(str(unit), list(unit_table()), n=1, cutoff=0.0)
        raise SettingsUnusable(path, f"'{where}.unit' is {unit!r}", f"The nearest unit is '{close[0]}'.")
    bounds = _bounds(path, where, fields)
    if not bounds:
        raise SettingsUnusable(path, f"'{where}' has no bound", "Give it low, high or both.")
    limit = Limit(
        unit=unit,
        authority=Authority.COMPANY,
        source=str(fields.get("source", f"company rule '{name}'")),
        applies_to=str(fields.get("applies_to", "")),
        changed_by=str(path),
        **bounds,
    )
    _check_order(path, where, limit)
    try:
        match = match_of(fields.get("match", []))
    except ValueError as error:
        raise SettingsUnusable(path, f"'{where}': {error}", 'Write it as match = ["freezer"].') from None
    component = fields.get("component")
    if component is not None and not isinstance(component, str):
        raise SettingsUnusable(path, f"'{where}.component' is {component!r}", "Write the part's name in quotes.")
    subject, kind = fields.get("subject"), fields.get("kind")
    if (subject is None) == (kind is None):
        raise SettingsUnusable(path, f"'{where}' is for no quantity", "Give it either a subject or a kind.")
    if kind is not None:
        kinds = [str(k) for k in unit_table()[unit].kinds]
        if kind not in kinds:
            raise SettingsUnusable(path, f"'{where}.kind' is {kind!r}", f"{unit} measures {' or '.join(kinds)}.")
        rules.append(Rule(name, str(kind), component, limit, match))
        return
    model = next((e for e in entries.values() if e.subject == subject), None)
    if model is None:
        _unknown(path, str(subject), [e.subject for e in entries.values()])
        return
    if model.limit.unit != unit:
        raise SettingsUnusable(path, f"'{where}.unit' is {unit}", f"Limits of '{subject}' are in {model.limit.unit}.")
    entries[f"{subject}.{name}"] = Entry(f"{subject}.{name}", limit, "company", "", match)


def match_of(value: object) -> tuple[tuple[str, ...], ...]:
    """Return an all-of list of any-of lists of words, in lower case; raises ``ValueError`` for anything else."""
    if not isinstance(value, list):
        raise ValueError(f"'match' is a list of words or of lists of words, not {value!r}")
    groups = [[part] if isinstance(part, str) else part for part in value]
    if not all(isinstance(group, list) and all(isinstance(word, str) for word in group) for group in groups):
        raise ValueError(f"'match' is a list of words or of lists of words, not {value!r}")
    return tuple(tuple(word.lower() for word in group) for group in groups)
