"""Time limits that a test holds on a machine that others use, too.

The clock counts what others do meanwhile, and their use of the caches makes even seconds of
processor grow. Work that is too slow by itself is too slow each time; work that was held up is not.
"""

from collections.abc import Callable
from typing import TypeVar

TRIES = 3

Result = TypeVar("Result")


def first_in_time(
    run: Callable[[], Result], seconds: Callable[[Result], float], limit: float
) -> Result:
    """Run until one try keeps to the limit, three times at most; return that try or the last."""
    for _ in range(TRIES):
        result = run()
        if seconds(result) < limit:
            break
    return result
