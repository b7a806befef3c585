"""Chains of fittings: the life at which each meter of a machine began to count."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scheduling.facts.yard_days import Flags, Floats, Ints


@dataclass(frozen=True)
class Chain:
    """Fittings sorted by machine, kind and time; arrays of shape (f,).

    machine: row in `Machines`; fitted: days from the yard's today; base: life when fitted;
    first, last: what the meter showed when fitted and when removed (NaN: not noted).
    """

    key: Ints
    machine: Ints
    kind: NDArray[np.str_]
    fitted: Floats
    base: Floats
    first: Floats
    last: Floats

    def rows(self, keys: Ints) -> tuple[Ints, Flags]:
        """Return the row of each meter key, and which of them are here."""
        order = np.argsort(self.key)
        if not order.size:
            return np.zeros(keys.size, dtype=np.int64), np.zeros(keys.size, dtype=np.bool_)
        at = np.minimum(np.searchsorted(self.key, keys, sorter=order), order.size - 1)
        return order[at], self.key[order[at]] == keys


def chain_bases(
    key: Ints, machine: Ints, kind: NDArray[np.str_], fitted: Floats, values: list[Floats]
) -> Chain:
    """Work the bases out, as the docstring of `fleet.models.meters` says.

    values: first_value, life_at_fitting and last_value of each fitting, NaN for none.  A last
    value that was not noted adds no use; the cleaning of readings then estimates the gap.
    """
    first, at_fitting, last = values
    ran = np.nan_to_num(np.maximum(last - first, 0.0))
    starts = np.ones(key.size, dtype=np.bool_)
    starts[1:] = (machine[1:] != machine[:-1]) | (kind[1:] != kind[:-1])
    own_base = np.where(np.isnan(at_fitting), first, at_fitting)
    total = np.cumsum(ran) - ran
    head = np.maximum.accumulate(np.where(starts, np.arange(key.size), 0))
    base = own_base[head] + total - total[head] if key.size else own_base
    return Chain(key, machine, kind, fitted, base, first, last)
