"""The kinds of array that the interval code passes about, and how a field is made into one.

A day is a ``datetime64[D]``, NaT when there is none. A point on a meter is a float64 in that
meter's own unit (hours, metres or cycles), NaN when there is none. A *point* is either of the two.
"""

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import DTypeLike, NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Days = NDArray[np.datetime64]
Points = NDArray[Any]

SLACK = 1e-6
"""Difference in a meter's unit (h, m, cycles) below which two points are the same: the rounding
of sums of tenths must not push a service out of its window."""


def spread(rules: object, kinds: dict[str, DTypeLike]) -> None:
    """Make each named field of a frozen dataclass an array of one common length (n,).

    rules: the dataclass, still unchecked; kinds: the dtype of each field. Scalars are repeated. A
    field whose shape does not fit raises ValueError with its name.
    """
    fields = {name: np.asarray(getattr(rules, name), dtype=kind) for name, kind in kinds.items()}
    length = max(np.atleast_1d(field).shape[0] for field in fields.values())
    # an empty field wins over scalars beside it, or no lines at all would become one line
    if any(np.atleast_1d(field).shape[0] == 0 for field in fields.values()):
        length = 0
    for name, field in fields.items():
        try:
            # a frozen dataclass may still settle its own fields while it is made; a broadcast
            # scalar takes the memory of one number, whatever the number of lines
            object.__setattr__(rules, name, np.broadcast_to(field, (length,)))
        except ValueError:
            raise ValueError(
                f"{name} has the shape {field.shape}, but the other fields have {length} lines"
            ) from None


def refuse(wrong: Bools, values: NDArray[Any], sentence: str) -> None:
    """Raise ValueError for the first line where ``wrong`` holds, naming the line and its value.

    wrong, values: one entry a line, shape (n,). ``sentence`` says what is wrong and how to mend it,
    with ``{}`` where the value stands.
    """
    if wrong.any():
        line = int(np.flatnonzero(wrong)[0])
        raise ValueError(f"line {line}: " + sentence.format(values[line]))


def filled(value: object, kind: DTypeLike) -> Callable[[], Any]:
    """Return a maker of default fields: a scalar that ``spread`` repeats over the lines."""
    return lambda: np.array(value, dtype=kind)
