"""The limits that readings are judged by: data files with their sources, and what a settings file changed.

A limit without source and authority cannot be loaded.  ``limits/*.toml`` open with their grammar.
"""

from __future__ import annotations

import dataclasses
import difflib
import re
import tomllib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache, lru_cache
from importlib import resources
from pathlib import Path
from typing import Any

from journal.domain.unit_table import unit_table
from journal.domain.verdict import Authority, Limit, Outcome
from journal.domain.visit import Equipment
from journal.errors import SettingsUnusable
from journal.judge.numbers import clean

MARKS = ("seen", "seen second-hand", "memory", "practice")
BOUNDS = ("low", "high", "marginal_low", "marginal_high")
COMPANY = "company"


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
        if self.refrigerants and (equipment is None or equipment.refrigerant not in self.refrigerants):
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


@dataclass(frozen=True)
class LimitBook:
    """All limits by key (``subject.name``), and the company's own rules."""

    entries: Mapping[str, Entry]
    rules: tuple[Rule, ...] = ()
    _subjects: Mapping[str, tuple[Entry, ...]] = field(default_factory=dict, compare=False, repr=False)

    def __post_init__(self) -> None:
        subjects: dict[str, list[Entry]] = {}
        for entry in self.entries.values():
            subjects.setdefault(entry.subject, []).append(entry)
        ordered = {name: tuple(sorted(found, key=lambda e: -e.weight)) for name, found in subjects.items()}
        object.__setattr__(self, "_subjects", ordered)

    @classmethod
    def default(cls) -> LimitBook:
        """Return the limits that come with the library."""
        return default_book()

    def __getitem__(self, key: str) -> Entry:
        return self.entries[key]

    def best(self, subject: str, equipment: Equipment | None, component: str | None = None) -> Entry | None:
        """Return the limit of a subject that names this machine most closely, or none that fits."""
        return next((e for e in self._subjects.get(subject, ()) if e.fits(equipment, component)), None)

    def subject(self, name: str) -> tuple[Entry, ...]:
        return self._subjects.get(name, ())

    def with_settings(self, settings: Mapping[str, Any], source: str | Path) -> LimitBook:
        """Return a book with changed limits and company rules.

        ``settings`` is the ``limits`` table of a settings file: ``{subject: {name: {bound: number}}}``, and under
        ``company`` further limits (``subject`` or ``kind`` says of what).  Raises ``SettingsUnusable`` for
        unknown keys, with the nearest known one.
        """
        path = Path(source)
        entries = dict(self.entries)
        rules = list(self.rules)
        for subject, names in settings.items():
            table = _table(path, subject, names)
            if subject == COMPANY:
                for name, fields in table.items():
                    _add_company(path, name, _table(path, name, fields), entries, rules)
                continue
            known = [key.partition(".")[2] for key in entries if key.partition(".")[0] == subject]
            if not known:
                _unknown(path, subject, [key.partition(".")[0] for key in entries] + [COMPANY])
            for name, fields in table.items():
                if name not in known:
                    _unknown(path, f"{subject}.{name}", [f"{subject}.{k}" for k in known])
                key = f"{subject}.{name}"
                entries[key] = _changed(path, entries[key], _table(path, key, fields))
        return LimitBook(entries, tuple(rules))


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
        match = _match(fields.get("match", []))
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


def _match(value: object) -> tuple[tuple[str, ...], ...]:
    if not isinstance(value, list):
        raise ValueError(f"'match' is a list of words or of lists of words, not {value!r}")
    groups = [[part] if isinstance(part, str) else part for part in value]
    if not all(isinstance(group, list) and all(isinstance(word, str) for word in group) for group in groups):
        raise ValueError(f"'match' is a list of words or of lists of words, not {value!r}")
    return tuple(tuple(word.lower() for word in group) for group in groups)


def parse(text: str, origin: str) -> dict[str, Entry]:
    """Return the limits of one data file; raises ``ValueError`` for a limit that does not say where it comes from."""
    entries: dict[str, Entry] = {}
    for subject, names in tomllib.loads(text, parse_float=Decimal).items():
        for name, fields in names.items():
            key = f"{subject}.{name}"
            entries[key] = _entry(key, dict(fields), origin)
    return entries


def _entry(key: str, fields: dict[str, Any], origin: str) -> Entry:
    where = f"{origin}: {key}"
    for required in ("unit", "authority", "source", "mark", "revision"):
        if not fields.get(required):
            raise ValueError(f"{where}: a limit needs its {required}")
    mark = fields.pop("mark")
    if mark not in MARKS:
        raise ValueError(f"{where}: {mark!r} is none of {MARKS}")
    authority = Authority(fields.pop("authority"))
    if mark != "seen" and authority.may_condemn and authority is not Authority.PHYSICS:
        raise ValueError(f"{where}: a limit that is {mark} cannot speak with the authority of a {authority}")
    bounds: dict[str, Any] = {name: Decimal(fields.pop(name)) for name in BOUNDS if name in fields}
    limit = Limit(
        unit=fields.pop("unit"),
        authority=authority,
        source=fields.pop("source"),
        applies_to=fields.pop("applies_to", ""),
        **bounds,
    )
    entry = Entry(
        key,
        limit,
        mark,
        str(fields.pop("revision")),
        _match(fields.pop("match", [])),
        tuple(fields.pop("unless", ())),
        tuple(fields.pop("makers", ())),
        tuple(fields.pop("refrigerants", ())),
        tuple(fields.pop("components", ())),
        Outcome(fields.pop("worst", "outside")),
        fields.pop("note", ""),
    )
    if fields:
        raise ValueError(f"{where}: unknown {sorted(fields)}")
    return entry


@cache
def default_book() -> LimitBook:
    """Return the limits that come with the library, read once."""
    entries: dict[str, Entry] = {}
    for file in sorted(resources.files("journal.judge").joinpath("limits").iterdir(), key=lambda f: f.name):
        if file.name.endswith(".toml"):
            found = parse(file.read_text(encoding="utf-8"), file.name)
            if twice := entries.keys() & found.keys():
                raise ValueError(f"{file.name}: {sorted(twice)} is already in another file")
            entries |= found
    return LimitBook(entries)


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
