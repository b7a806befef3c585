"""The three kinds of array that the planner counts in, named once for all its rooms."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
"""Money, hours or days."""

Ints = NDArray[np.int64]
"""Ticks, counts, days or indices."""

Flags = NDArray[np.bool_]
"""What may be, or is the case."""
