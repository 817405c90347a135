"""Reads the phrase tables of ``fixtures/phrases`` into frozen types and refuses what they cannot mean.

The format is described in ``fixtures/phrases/README.md``.  Everything wrong with a table is one ``TableError`` that
names the file, the sentence and the way out.  ``differences`` and ``align`` are offered here too.
"""

from __future__ import annotations

import hashlib
import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

from journal.domain.kind import Kind
from journal.domain.reading import Phase, Reference, Role, State, Trend
from journal.domain.unit_table import can_measure, unit_table
from tests.interpret.phrase_differences import align, differences
from tests.interpret.phrase_types import ExpectedFinding, ExpectedReading, ExpectedWork, Phrase

__all__ = [
    "ExpectedFinding",
    "ExpectedReading",
    "ExpectedWork",
    "Names",
    "Phrase",
    "TableError",
    "align",
    "differences",
    "digests",
    "fresh_tables",
    "load",
    "load_table",
    "names",
    "parse_table",
    "tables",
    "tables_to_learn",
]

TABLES = Path(__file__).resolve().parents[2] / "fixtures" / "phrases"
HELD_OUT = TABLES / "held_out"
NAMES = TABLES / "names" / "canonical.toml"

E = TypeVar("E", bound=StrEnum)


class TableError(ValueError):
    """A table that says something the format has no meaning for."""


@dataclass(frozen=True, slots=True)
class Names:
    """The names expectations may use."""

    points: frozenset[str]
    components: frozenset[str]
    conditions: frozenset[str]
    findings: frozenset[str]
    actions: frozenset[str]


@cache
def names() -> Names:
    """Return the canonical names of ``names/canonical.toml``."""
    data = tomllib.loads(NAMES.read_text(encoding="utf-8"))
    return Names(**{key: frozenset(values) for key, values in data.items()})


def load(held_out: bool = False) -> tuple[Phrase, ...]:
    """Return the phrases of every table, in the order of files and rows; ``held_out`` chooses the set-aside part."""
    return tuple(phrase for path in tables(held_out) for phrase in load_table(path))


def tables(held_out: bool = False) -> list[Path]:
    """Return the table files, sorted by name."""
    return sorted((HELD_OUT if held_out else TABLES).glob("*.toml"))


def fresh_tables() -> list[Path]:
    """Return the tables that are not tests yet, sorted by name."""
    return sorted((TABLES / "fresh").glob("*.toml"))


def tables_to_learn() -> list[Path]:
    """Return the tables that the tagger learns from, sorted by name."""
    return sorted((TABLES / "to_learn").glob("*.toml"))


def load_table(path: Path) -> tuple[Phrase, ...]:
    """Return the phrases of one file."""
    return parse_table(path.read_text(encoding="utf-8"), path)


def parse_table(text: str, path: Path) -> tuple[Phrase, ...]:
    """Return the phrases of a table's text; ``path`` names it in errors."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise TableError(f"{path.name}: not TOML: {error}") from None
    _only(data, {"about", "always", "phrase"}, path.name)
    if not isinstance(data.get("about"), str):
        raise TableError(f"{path.name}: say in 'about' what the table is about.")
    always = frozenset(data.get("always", []))
    _known(always, frozenset(ExpectedReading.__dataclass_fields__), "a key of a reading", path.name)
    return tuple(_phrase(row, path, always) for row in data.get("phrase", []))


def digests(folder: Path = HELD_OUT) -> dict[str, str]:
    """Return the SHA-256 of every table in a folder, by file name."""
    return {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in sorted(folder.glob("*.toml"))}


def _phrase(row: dict[str, Any], path: Path, always: frozenset[str]) -> Phrase:
    said = row.get("said")
    lines = (said,) if isinstance(said, str) else tuple(said or ())
    if not lines or not all(isinstance(line, str) and line.strip() for line in lines):
        raise TableError(f"{path.name}: a phrase needs 'said', a sentence or a list of sentences.")
    where = f"{path.name}, '{' / '.join(lines)}'"
    _only(row, set(Phrase.__dataclass_fields__) - {"table", "path", "always"}, where)
    if "readings" not in row:
        raise TableError(f"{where}: give 'readings', an empty list when nothing may come out.")
    typed = bool(row.get("typed", False))
    if not typed and any(line != line.lower() or not re.sub("[' ]", "", line).isalpha() for line in lines):
        raise TableError(f"{where}: spoken words are lower case without digits or signs; mark notes 'typed = true'.")
    return Phrase(
        table=path.stem,
        said=lines,
        typed=typed,
        readings=tuple(_reading(item, where) for item in row["readings"]),
        findings=_optional_rows(row.get("findings"), _finding, where),
        work=_optional_rows(row.get("work"), _work, where),
        refrigerant=row.get("refrigerant"),
        complaint=row.get("complaint"),
        model=row.get("model"),
        serial=row.get("serial"),
        path=path,
        always=always,
    )


def _optional_rows(rows: Any, read: Any, where: str) -> Any:
    return None if rows is None else tuple(read(row, where) for row in rows)


def _reading(item: dict[str, Any], where: str) -> ExpectedReading:
    _only(item, set(ExpectedReading.__dataclass_fields__), where)
    points = item.get("points", ())
    conditions = item.get("conditions")
    _known(() if points == "any" else points, names().points, "point", where, prefix="terminal ")
    _known(conditions or (), names().conditions, "condition", where)
    _known([item["component"]] if "component" in item else [], names().components, "component", where)
    expected = ExpectedReading(
        kind=_enum(Kind, item.get("kind"), where),
        value=_number(item.get("value"), where),
        low=_number(item.get("low"), where),
        high=_number(item.get("high"), where),
        state=_enum(State, item.get("state"), where),
        unit=item.get("unit"),
        role=None if item.get("role") == "any" else _enum(Role, item.get("role", "measured"), where),
        points=None if points == "any" else tuple(points),
        component=item.get("component"),
        phase=_enum(Phase, item.get("phase"), where),
        trend=_enum(Trend, item.get("trend"), where),
        reference=_enum(Reference, item.get("reference"), where),
        conditions=None if conditions is None else frozenset(conditions),
        equipment=item.get("equipment"),
        hedged=item.get("hedged"),
        held_for=_number(item.get("held_for"), where),
        withdrawn=bool(item.get("withdrawn", False)),
        doubted=item.get("doubted"),
        alternatives=tuple(n for n in (_number(a, where) for a in item.get("alternatives", ())) if n is not None),
        optional=bool(item.get("optional", False)),
    )
    _check(expected, where)
    return expected


def _check(expected: ExpectedReading, where: str) -> None:
    ranged = expected.low is not None or expected.high is not None
    if (expected.value is not None) + ranged > 1 or not (expected.value is not None or ranged or expected.state):
        raise TableError(f"{where}: a reading is a value, a range or a state.")
    if expected.state not in (None, State.PRESENT) and (ranged or expected.value is not None):
        raise TableError(f"{where}: only 'present' may carry a nominal value.")
    if expected.kind is None and expected.doubted is not True:
        raise TableError(f"{where}: leave 'kind' out only of a reading that is doubted = true.")
    if expected.unit is not None and expected.unit not in unit_table():
        raise TableError(f"{where}: {expected.unit!r} is not a unit of units.txt.")
    if expected.unit is not None and expected.kind is not None and not can_measure(expected.unit, expected.kind):
        raise TableError(f"{where}: {expected.unit} does not measure {expected.kind}.")
    if expected.unit is None and expected.state is None and not (expected.withdrawn or expected.doubted):
        raise TableError(f"{where}: a number needs a unit, unless it is withdrawn or doubted.")


def _finding(item: dict[str, Any], where: str) -> ExpectedFinding:
    _only(item, set(ExpectedFinding.__dataclass_fields__), where)
    _known([item.get("what", "")], names().findings, "finding", where)
    _known([item["component"]] if "component" in item else [], names().components, "component", where)
    return ExpectedFinding(**item)


def _work(item: dict[str, Any], where: str) -> ExpectedWork:
    _only(item, set(ExpectedWork.__dataclass_fields__), where)
    _known([item.get("action", "")], names().actions, "action", where)
    _known([item["component"]] if "component" in item else [], names().components, "component", where)
    _known([item["unit"]] if "unit" in item else [], frozenset(unit_table()), "unit", where)
    return ExpectedWork(**{**item, "amount": _number(item.get("amount"), where)})


def _number(said: Any, where: str) -> Fraction | None:
    if said is None:
        return None
    if isinstance(said, (float, bool)) or not isinstance(said, (int, str)):
        raise TableError(f"{where}: write {said!r} in quotes, so that its digits stay as said.")
    try:
        return Fraction(said) if isinstance(said, int) or "/" in said else Fraction(Decimal(said))
    except (ValueError, ArithmeticError):
        raise TableError(f"{where}: {said!r} is not a number.") from None


def _enum(kind: type[E], said: Any, where: str) -> E | None:
    if said is None:
        return None
    try:
        return kind(said)
    except ValueError:
        known = ", ".join(kind)
        raise TableError(f"{where}: {said!r} is not a {kind.__name__.lower()}; known are {known}.") from None


def _only(item: dict[str, Any], allowed: set[str], where: str) -> None:
    for key in item:
        if key not in allowed:
            raise TableError(f"{where}: unknown key {key!r}; known are {', '.join(sorted(allowed))}.")


def _known(said: Iterable[str], known: frozenset[str], what: str, where: str, prefix: str = "") -> None:
    for name in said:
        if name not in known and not (prefix and name.startswith(prefix)):
            raise TableError(f"{where}: {name!r} is not a {what} of names/canonical.toml.")
