"""The limits that readings are judged by: data files with their sources, and what a settings file changed.

A limit without source and authority cannot be loaded.  ``limits/*.toml`` open with their grammar.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from journal.domain.verdict import Authority, Limit, Outcome
from journal.domain.visit import Equipment
from journal.judge.entries import BOUNDS, Entry, Rule
from journal.judge.settings import changed, match_of

MARKS = ("seen", "seen second-hand", "memory", "practice")


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
        entries, rules = changed(self.entries, self.rules, settings, Path(source))
        return LimitBook(entries, rules)


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
        match_of(fields.pop("match", [])),
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
