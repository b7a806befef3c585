"""The short and the long form of a run: the same walks, on fewer days and sizes or on all of them.

The short form is what the README's command and `.ci/run` try; EVENER_LONG_RUN=1 asks for the long.
"""

import os
from collections.abc import Sequence
from typing import TypeVar

LONG_RUN = os.environ.get("EVENER_LONG_RUN") == "1"
T = TypeVar("T")


def chosen(every: Sequence[T], short: int) -> list[T]:
    """Return all in the long form, and the first few in the short one."""
    return list(every if LONG_RUN else every[:short])
