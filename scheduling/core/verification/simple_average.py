"""What the simplest forecast would have said: the machine's lifetime average, drawn on.

It is the reference forecast against which ours has to show its skill.
"""

import numpy as np

from scheduling.core.forecast import HORIZON
from scheduling.core.usage import Cleaned, Floats, Ints

LEAST_DAYS = 1.0
"""Days between the first and the last reading from which there is an average."""


def lifetime_average(cleaned: Cleaned, machine: Ints, remaining: Floats, origin: float) -> Floats:
    """Return the day on which a service would fall due at the machine's lifetime average.

    With v the use between the first and the last trusted reading over the days between them, the
    due point lies R/v days after the last reading; the answer is that day, counted from the
    origin, as whole days clipped to 0..120.

    Args:
        cleaned: life lines of m machines: the same cleaned readings as our own forecast has.
        machine: machine of each service, shape (n,).
        remaining: R, life left above the last trusted reading, in the meter's unit, shape (n,).
        origin: start of the day on which the question is asked, in the days of the lines.

    Returns:
        Days after the origin, shape (n,); 120 for beyond; NaN where there is no average yet.

    """
    days = cleaned.last_day - cleaned.first_day
    enough = np.nan_to_num(days) >= LEAST_DAYS
    # all readings alike, the oldest too: what makes this forecast simple is that it has no settings
    rate = np.divide(cleaned.last_life, days, out=np.zeros(days.size), where=enough)
    moving = (rate > 0)[machine]
    ahead = np.divide(remaining, rate[machine], out=np.full(machine.size, np.inf), where=moving)
    # counted on from the last reading, as our own is, so that stale readings favour neither
    reached = np.floor(np.clip(cleaned.last_day[machine] + ahead - origin, 0, HORIZON))
    return np.where(enough[machine], reached, np.nan)
