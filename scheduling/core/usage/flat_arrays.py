"""Shapes that the whole of the usage and forecast code speaks: flat arrays, machine by machine."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]


def floats(values: ArrayLike) -> Floats:
    """Return the values as float64 of shape (n,); no copy where they are that already."""
    return np.atleast_1d(np.asarray(values, dtype=np.float64))


def machine_index(values: ArrayLike, n_machines: int, what: str) -> Ints:
    """Return machine indices as integers, refusing one outside 0..n_machines-1 by name.

    Args:
        values: indices, shape (n,).
        n_machines: how many machines there are.
        what: the thing that carries the index, for the sentence of refusal.

    Raises:
        ValueError: an index does not name one of the machines.

    """
    index = np.atleast_1d(np.asarray(values))
    if index.size == 0:
        return np.zeros(0, dtype=np.int64)
    # a negative index would quietly read the last machines, and a fraction be cut off to another's
    wrong = np.flatnonzero((index < 0) | (index >= n_machines) | (index != np.floor(index)))
    if wrong.size:
        raise ValueError(
            f"{what} {wrong[0]} belongs to machine {index[wrong[0]]}, "
            f"but the machines are numbered 0 to {n_machines - 1}."
        )
    return index.astype(np.int64)


def refuse_unless_finite(values: Floats, machine: Ints, what: str) -> None:
    """Raise a ValueError that names the first machine whose value is not a finite number.

    Args:
        values: one number a row, shape (n,).
        machine: index of each row's machine, shape (n,).
        what: what the values are, for the sentence of refusal.

    """
    wrong = np.flatnonzero(~np.isfinite(values))
    if wrong.size:
        at = wrong[0]
        raise ValueError(
            f"The {what} of machine {machine[at]} is {values[at]}, not a finite number."
        )


def previous_in_run(run: Ints) -> Ints:
    """Return for each row the row before it in the same run, or -1; shape (n,).

    Args:
        run: run of each row, rows sorted by run, shape (n,).

    """
    before = np.arange(run.size, dtype=np.int64) - 1
    if run.size:
        before[1:][run[1:] != run[:-1]] = -1
    return before
