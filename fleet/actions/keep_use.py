"""How long a machine is to run a day on a booking, as the customer said it last."""

from datetime import datetime

from fleet.actions.keep_changes import differences, keep_change
from fleet.logged_words import values_of
from fleet.models import Booking, Person

FIELD = ("hours_a_day",)


def keep_use(
    booking: Booking, hours_a_day: float | None, *, by: Person | None, now: datetime
) -> bool:
    """Keep what was said anew at a hand-over, in the caller's transaction; True if it differs.

    None: nothing was said then, and what was said before stands.  The caller tells of the machine.
    """
    if hours_a_day is None or hours_a_day == booking.hours_a_day:
        return False
    before = values_of(booking, FIELD)
    booking.hours_a_day = hours_a_day
    booking.save(update_fields=FIELD)
    changed = differences(before, values_of(booking, FIELD))
    keep_change(booking, "corrected", changed, by=by, now=now, reason="said at the check-out")
    return True
