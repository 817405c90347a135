"""Domain types to plain JSON values and back, exactly: decimals stay text, nothing is rounded, defaults are left out.

Works from the types' own annotations, so a field added to a domain type is kept without a change here.
"""

from __future__ import annotations

import dataclasses
import json
import types
import typing
from collections.abc import Callable
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from functools import cache
from typing import Any, TypeVar, Union

T = TypeVar("T")
_Turn = Callable[[Any], Any]
_SCALARS = (str, int, float, bool)


class NotPlain(ValueError):
    """A value that does not fit the type it should become, or cannot be written down."""


def to_plain(value: Any, *, defaults: bool = False) -> Any:
    """Return ``value`` as JSON types; fields that hold their default are left out unless ``defaults``."""
    if value is None or type(value) in _SCALARS:
        return value
    if isinstance(value, Decimal | StrEnum):
        return str(value)
    if isinstance(value, tuple | list):
        return [to_plain(part, defaults=defaults) for part in value]
    if dataclasses.is_dataclass(value):
        plain = {}
        kind: Any = type(value)
        for name, default in _fields(kind):
            held = getattr(value, name)
            if defaults or not (held is default or (type(held) is type(default) and held == default)):
                plain[name] = to_plain(held, defaults=defaults)
        return plain
    return value


def from_plain(kind: type[T], plain: Any) -> T:
    """Return ``plain`` as the domain type ``kind``.  Raises ``NotPlain`` when it does not fit."""
    try:
        return typing.cast(T, _turn(typing.cast(Any, kind))(plain))
    except NotPlain:
        raise
    except (TypeError, ValueError, KeyError, AttributeError, InvalidOperation, RecursionError) as error:
        raise NotPlain(f"{kind.__name__}: {error}") from None


def write_json(plain: Any) -> str:
    """Return canonical JSON: one spelling for one value.  Raises ``NotPlain`` for NaN, infinity and lone surrogates."""
    try:
        text = json.dumps(plain, ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":"))
        text.encode("utf-8")
    except (ValueError, TypeError) as error:
        raise NotPlain(f"cannot be written down: {error}") from None
    return text


@cache
def _fields(kind: Any) -> tuple[tuple[str, Any], ...]:
    return tuple((field.name, field.default) for field in dataclasses.fields(kind))


@cache
def _turn(kind: Any) -> _Turn:
    """Return the function that turns a plain value into ``kind``; made once for each type."""
    if kind is Decimal:
        return _decimal
    if kind in (str, int, bool, float):
        return _scalar(kind)
    if isinstance(kind, type) and issubclass(kind, StrEnum):
        return kind
    if dataclasses.is_dataclass(kind):
        return _record(typing.cast(type, kind))
    origin, inner = typing.get_origin(kind), typing.get_args(kind)
    if origin in (Union, types.UnionType):
        (only,) = [part for part in inner if part is not types.NoneType]
        turn = _turn(only)
        return lambda plain: None if plain is None else turn(plain)
    if origin is tuple:
        return _tuple(inner)
    raise TypeError(f"{kind!r} has no plain form")


def _decimal(plain: Any) -> Decimal:
    if not isinstance(plain, str):
        raise NotPlain(f"a decimal is written as text, not {plain!r}")
    return Decimal(plain)


def _scalar(kind: type) -> _Turn:
    accepted: tuple[type, ...] = (kind, int) if kind in (float, bool) else (kind,)

    def turn(plain: Any) -> Any:
        if not isinstance(plain, accepted) or (kind in (int, float) and isinstance(plain, bool)):
            raise NotPlain(f"expected {kind.__name__}, found {plain!r}")
        return bool(plain) if kind is bool else plain

    return turn


def _record(kind: type) -> _Turn:
    hints = typing.get_type_hints(kind)
    turns = {name: _turn(hints[name]) for name, _ in _fields(kind)}

    def turn(plain: Any) -> Any:
        if not isinstance(plain, dict) or not plain.keys() <= turns.keys():
            raise NotPlain(f"{kind.__name__} has no such fields: {plain!r:.200}")
        return kind(**{name: turns[name](value) for name, value in plain.items()})

    return turn


def _tuple(inner: tuple[Any, ...]) -> _Turn:
    if len(inner) == 2 and inner[1] is Ellipsis:
        turn = _turn(inner[0])
        return lambda plain: tuple(turn(part) for part in _listed(plain))
    turns = [_turn(part) for part in inner]
    return lambda plain: tuple(turn(part) for turn, part in zip(turns, _listed(plain), strict=True))


def _listed(plain: Any) -> list[Any]:
    if not isinstance(plain, list):
        raise NotPlain(f"expected a list, found {plain!r:.200}")
    return plain
