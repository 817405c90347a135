"""Domain values as JSON and back, exactly: 24.30 is written as the number 24.30 and read as the decimal 24.30.

Every field of a type becomes a member of the same name, with three exceptions, all for the reader's sake:
``evidence`` is spread over ``said``, ``recording``, ``utterance``, ``first``, ``last``, ``start``, ``end`` and
``confidence`` (all null without evidence); ``inferred`` is an object; and beside each unit stands its UCUM code.
"""

from __future__ import annotations

import dataclasses
import json
import types
import typing
from decimal import Decimal
from enum import StrEnum
from functools import cache
from typing import Any, TypeVar

from journal.domain.reading import Evidence
from journal.domain.unit_table import ucum_of
from journal.errors import BadInput

T = TypeVar("T")

_EVIDENCE = ("said", "recording", "utterance", "first", "last", "start", "end", "confidence")
_UCUM = {"unit": "ucum", "charge_unit": "charge_ucum"}


def as_json(value: object) -> Any:
    """Return a domain value as dicts, lists, text, numbers and ``None``; decimals stay ``Decimal``."""
    if isinstance(value, StrEnum):
        return value.value
    if isinstance(value, tuple | list):
        return [as_json(item) for item in value]
    if isinstance(value, dict):
        return {str(as_json(key)): as_json(item) for key, item in value.items()}
    if not dataclasses.is_dataclass(value) or isinstance(value, type):
        return value
    names = [field.name for field in dataclasses.fields(value)]
    document: dict[str, Any] = {}
    for name in ("id", *names) if "id" in names else names:
        part = getattr(value, name)
        if name == "evidence":
            document |= {key: getattr(part, key) if part else None for key in _EVIDENCE}
        elif name == "inferred":
            document[name] = dict(part)
        else:
            document[name] = as_json(part)
        if name in _UCUM:
            document[_UCUM[name]] = ucum_of(part)
    return document


def from_json(kind: type[T], document: Any) -> T:
    """Return the domain value a document describes: the inverse of ``as_json``.

    Raises ``BadInput`` when the document has members it should not have, lacks some, or holds impossible values.
    """
    try:
        return typing.cast(T, _build(kind, document))
    except BadInput:
        raise
    except (TypeError, ValueError, ArithmeticError, KeyError, AttributeError) as error:
        raise BadInput(f"This is no {kind.__name__.lower()} the journal can read: {error}.") from None


def _build(kind: Any, part: Any) -> Any:
    origin, arguments = typing.get_origin(kind), typing.get_args(kind)
    if origin in (types.UnionType, typing.Union):
        return None if part is None else _build(next(a for a in arguments if a is not types.NoneType), part)
    if origin is tuple:
        if not isinstance(part, list):
            raise TypeError(f"a list was expected, not {part!r}")
        return tuple(_build(arguments[0], item) for item in part)
    if dataclasses.is_dataclass(kind) and isinstance(kind, type):
        return _build_dataclass(kind, part)
    if kind is Decimal:
        return _number(part)
    if kind is float:
        return float(_number(part))
    if isinstance(kind, type) and issubclass(kind, StrEnum):
        return kind(part)
    if type(part) is not kind:
        raise TypeError(f"{kind.__name__} was expected, not {part!r}")
    return part


def _build_dataclass(kind: type, part: Any) -> Any:
    if not isinstance(part, dict):
        raise TypeError(f"an object was expected, not {part!r}")
    rest = dict(part)
    values: dict[str, Any] = {}
    for name, hint in _hints(kind).items():
        if name == "evidence":
            spread = {key: rest.pop(key) for key in _EVIDENCE}
            values[name] = None if spread["recording"] is None else _build(Evidence, spread)
        elif name == "inferred":
            values[name] = tuple((str(what), str(whence)) for what, whence in rest.pop(name).items())
        else:
            values[name] = _build(hint, rest.pop(name))
        if name in _UCUM:
            rest.pop(_UCUM[name])
    if rest:
        raise BadInput(f"A {kind.__name__.lower()} has no {', '.join(sorted(map(str, rest)))}.")
    return kind(**values)


@cache
def _hints(kind: type) -> dict[str, Any]:
    hints = typing.get_type_hints(kind)
    return {field.name: hints[field.name] for field in dataclasses.fields(kind)}


def _number(part: Any) -> Decimal:
    if isinstance(part, bool) or not isinstance(part, int | float | Decimal):
        raise TypeError(f"a number was expected, not {part!r}")
    return part if isinstance(part, Decimal) else Decimal(str(part))


def json_text(value: object, *, indent: int = 2) -> str:
    """Return JSON text (RFC 8259) in which decimals keep the digits they were said with.

    The standard encoder cannot write a ``Decimal``, and a float would turn 24.30 into 24.3.
    """
    return "".join(_write(value, " " * indent, "\n"))


def json_value(text: str) -> Any:
    """Return what JSON text says, with every fraction as a ``Decimal``.  Raises ``BadInput``."""
    try:
        return json.loads(text, parse_float=Decimal, parse_constant=_refuse)
    except (json.JSONDecodeError, RecursionError) as error:
        raise BadInput(f"This is no JSON: {error}.") from None


def _refuse(constant: str) -> None:
    raise BadInput(f"This is no JSON: {constant} is no number.")


def _write(value: object, step: str, margin: str) -> typing.Iterator[str]:
    if isinstance(value, Decimal):
        yield str(value)
    elif isinstance(value, dict) and value:
        inner, opening = margin + step, "{"
        for key, part in value.items():
            yield f"{opening}{inner}{json.dumps(str(key), ensure_ascii=False)}: "
            yield from _write(part, step, inner)
            opening = ","
        yield margin + "}"
    elif isinstance(value, list | tuple) and value:
        inner, opening = margin + step, "["
        for part in value:
            yield opening + inner
            yield from _write(part, step, inner)
            opening = ","
        yield margin + "]"
    else:
        yield json.dumps(value, ensure_ascii=False, allow_nan=False)
