"""A reading that fits what came before and is contradicted by the two that came after.

A file brings a meter's readings at once, so a plausible typing error can be told by what follows:
without this rule it would stand, and the good readings after it would be refused as backwards.
"""

from fleet.validation.judging import Face, step_fault, surely_fits
from fleet.validation.meter_history import Seen
from fleet.validation.meter_limits import LEEWAY, LIMITS
from fleet.validation.reasons import ReadingReason


def outvoted(reading: Seen, before: Seen | None, later: list[Seen], face: Face) -> bool:
    """Say whether the next two readings agree with the one before, and not with this one."""
    if before is None or len(later) < 2:
        return False
    limits = LIMITS[face.kind]
    first, second = later[:2]

    if surely_fits(first.value - reading.value, first.at - reading.at, limits):
        return False  # as with most rows of a file

    def fits(earlier: Seen, later: Seen) -> bool:
        return step_fault(earlier, later, limits, LEEWAY) is ReadingReason.FINE

    if fits(reading, first) or fits(reading, second):
        return False
    return fits(before, first) and fits(first, second)
