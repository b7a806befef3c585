"""Dataclasses as plain JSON and back, by their annotations.

What is read back is checked against the annotations, so that a row that was written by an older
version, or by hand, is refused with the place that does not fit instead of failing later.
"""

from math import isfinite
from typing import Any

import msgspec


def to_plain(value: Any) -> Any:
    """Return a value as JSON: dataclasses as objects, tuples as lists, dates in ISO 8601.

    Numbers without an end, and no number at all, are kept as "inf", "-inf" and "nan".
    """
    return _finite(msgspec.to_builtins(value, str_keys=True))


def _finite(value: Any) -> Any:
    """Return JSON without what it has no word for, and what a database refuses."""
    if isinstance(value, dict):
        return {key: _finite(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(each) for each in value]
    return str(value) if isinstance(value, float) and not isfinite(value) else value


def from_plain(kind: Any, data: Any, name: str = "") -> Any:
    """Return a value of an annotated kind; ValueError says what does not fit, and where in it.

    name: of what is read, for that sentence.
    """
    try:  # not strictly: "inf" is a number here
        return msgspec.convert(data, kind, strict=False, str_keys=True)
    except msgspec.ValidationError as error:
        raise ValueError(f"{name or getattr(kind, '__name__', kind)}: {error}") from error
