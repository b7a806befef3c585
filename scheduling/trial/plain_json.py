"""Dataclasses as plain JSON and back, by their annotations.

What is read back is checked against the annotations, so that a row that was written by an older
version, or by hand, is refused with the name of its field instead of failing later.
"""

import types
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from math import isfinite
from typing import Any, Union, get_args, get_origin, get_type_hints

ENDLESS = ("inf", "-inf", "nan")
"""How numbers without an end, and no number at all, are kept."""


def to_plain(value: Any) -> Any:
    """Return a value as JSON: dataclasses as objects, tuples as lists, dates in ISO 8601."""
    if is_dataclass(value) and not isinstance(value, type):
        return {each.name: to_plain(getattr(value, each.name)) for each in fields(value)}
    if isinstance(value, tuple | list | set | frozenset):
        return [to_plain(each) for each in value]
    if isinstance(value, dict):
        return {str(key): to_plain(each) for key, each in value.items()}
    if isinstance(value, float) and not isfinite(value):
        return str(value)  # JSON has no word for it, and a database refuses ours
    if isinstance(value, Enum):
        return value.value
    return value.isoformat() if isinstance(value, date) else value


def from_plain(kind: Any, data: Any, place: str = "") -> Any:
    """Return a value of an annotated kind; ValueError names the field that does not fit."""
    origin = get_origin(kind)
    if kind is Any:
        return data
    if isinstance(kind, type) and is_dataclass(kind):
        return _object(kind, data, place)
    if origin in READ:
        return READ[origin](get_args(kind), data, place)
    if isinstance(kind, type) and issubclass(kind, date | Enum):
        return _day(data, place) if kind is date else _one_of(kind, data, place)
    if kind is float and (type(data) is int or data in ENDLESS):
        return float(data)
    if isinstance(kind, type) and type(data) is kind:
        return data
    raise ValueError(f"{place or 'the value'}: {data!r:.60} does not fit")


def _object(kind: type, data: Any, place: str) -> Any:
    if not isinstance(data, dict):
        raise ValueError(f"{place or kind.__name__}: must be an object, not {data!r:.60}")
    hints = get_type_hints(kind)
    known = [each.name for each in fields(kind) if each.init]
    try:
        return kind(
            **{n: from_plain(hints[n], data[n], f"{place}.{n}") for n in known if n in data}
        )
    except TypeError as error:  # a field without a default is missing
        raise ValueError(f"{place or kind.__name__}: {error}") from error


def _one_of(kind: Callable[[Any], Any], data: Any, place: str) -> Any:
    try:
        return kind(data)
    except ValueError as error:
        raise ValueError(f"{place}: {data!r:.60} is not known") from error


def _day(data: Any, place: str) -> date:
    try:
        return date.fromisoformat(data)
    except (TypeError, ValueError) as error:
        raise ValueError(f"{place}: {data!r:.60} is no day") from error


def _many(args: tuple[Any, ...], data: Any, place: str) -> list[Any]:
    if not isinstance(data, list):
        raise ValueError(f"{place}: must be a list, not {data!r:.60}")
    open_end = len(args) == 1 or args[1] is Ellipsis
    if not open_end and len(args) != len(data):
        raise ValueError(f"{place}: must hold {len(args)} values, not {len(data)}")
    kinds = [args[0]] * len(data) if open_end else args
    return [from_plain(kind, each, place) for kind, each in zip(kinds, data, strict=True)]


def _mapping(args: tuple[Any, ...], data: Any, place: str) -> dict[Any, Any]:
    if not isinstance(data, dict):
        raise ValueError(f"{place}: must be an object, not {data!r:.60}")
    key, value = args
    return {
        (int(k) if key is int else k): from_plain(value, each, f"{place}.{k}")
        for k, each in data.items()
    }


def _either(args: tuple[Any, ...], data: Any, place: str) -> Any:
    if data is None and type(None) in args:
        return None
    faults = []
    for kind in args:
        try:
            return from_plain(kind, data, place)
        except ValueError as error:
            faults.append(str(error))
    raise ValueError(faults[0])


READ: dict[Any, Callable[[tuple[Any, ...], Any, str], Any]] = {
    tuple: lambda args, data, place: tuple(_many(args, data, place)),
    list: _many,
    frozenset: lambda args, data, place: frozenset(_many(args, data, place)),
    dict: _mapping,
    types.UnionType: _either,
    Union: _either,
}
"""Annotations that hold others -> how they are read."""
