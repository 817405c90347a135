"""A field's value as the text of a correction, and back: what people type and read, exact both ways."""

from __future__ import annotations

import json
import types
import typing
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from typing import Any

from journal.domain.unit_table import unit_table
from journal.errors import BadInput
from journal.keep.plain import NotPlain, from_plain, to_plain, write_json

_YES, _NO = "yes", "no"


def as_text(value: Any) -> str:
    """Return a field's value as text: nothing is empty, a list is joined by commas, nested parts are JSON."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return _YES if value else _NO
    if isinstance(value, tuple):
        plain = to_plain(value)
        simple = all(isinstance(part, str) and part.strip() == part and part and "," not in part for part in plain)
        return ", ".join(plain) if simple and not "".join(plain).startswith("[") else write_json(plain)
    return str(to_plain(value))


def from_text(kind: type, field: str, text: str) -> Any:
    """Return what ``text`` means for a field of a domain type.  Raises ``BadInput`` when it cannot be meant."""
    hints = typing.get_type_hints(kind)
    if field not in hints:
        raise BadInput(f"{field!r} is no field that can be corrected; these are: {', '.join(sorted(hints))}.")
    wanted = hints[field]
    optional = typing.get_origin(wanted) in (types.UnionType, typing.Union)
    if optional:
        if not text:
            return None
        (wanted,) = [part for part in typing.get_args(wanted) if part is not types.NoneType]
    return _meant(wanted, field, text)


def _meant(wanted: Any, field: str, text: str) -> Any:
    if wanted is Decimal:
        return _decimal(field, text)
    if wanted is bool:
        if text not in (_YES, _NO):
            raise BadInput(f"{field} is {_YES!r} or {_NO!r}, not {text!r}.")
        return text == _YES
    if isinstance(wanted, type) and issubclass(wanted, StrEnum):
        try:
            return wanted(text)
        except ValueError:
            raise BadInput(f"{field} is one of: {', '.join(wanted)}; not {text!r}.") from None
    if wanted is str:
        return unit_code(text) if field == "unit" else text
    return _nested(wanted, field, text)


def unit_code(text: str) -> str:
    """Return the code of a unit given by code or by the symbol that one unit alone has."""
    if text in unit_table():
        return text
    alike = [unit.code for unit in unit_table().values() if unit.symbol == text]
    if len(alike) != 1:
        raise BadInput(f"{text[:40]!r} is no unit's code; 'journal readings --units' lists them.")
    return alike[0]


def _decimal(field: str, text: str) -> Decimal:
    try:
        number = Decimal(text)
    except InvalidOperation:
        raise BadInput(f"{field} is a number such as 24.30, not {text!r}.") from None
    if not number.is_finite():
        raise BadInput(f"{field} is a finite number, not {text!r}.")
    return number


def _nested(wanted: Any, field: str, text: str) -> Any:
    if text == "" and typing.get_origin(wanted) is tuple:
        return ()
    try:
        if wanted == tuple[str, ...] and not text.startswith("["):
            return tuple(part.strip() for part in text.split(",") if part.strip())
        return from_plain(wanted, json.loads(text))
    except (ValueError, NotPlain):
        raise BadInput(f"{field} cannot be {text!r}.") from None
