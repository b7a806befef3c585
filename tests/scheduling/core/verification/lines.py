"""Life lines of a few machines, for tests of what came true."""

import numpy as np

from scheduling.core.usage import Readings, Swaps, clean


def lines(*machines, swaps=None):
    """Clean readings given as one list of (day, value) a machine."""
    rows = [(m, day, value) for m, shown in enumerate(machines) for day, value in shown]
    machine, day, value = (np.array(column) for column in zip(*rows, strict=True))
    readings = Readings(machine.astype(np.int64), day.astype(float), value.astype(float))
    return clean(readings, swaps or Swaps.none(), len(machines), 24.0)


def weekly(rate=4.0, start=-140, end=0):
    """A meter read every seven days that runs at one rate."""
    return [(day, 100 + rate * (day - start)) for day in range(start, end + 1, 7)]
