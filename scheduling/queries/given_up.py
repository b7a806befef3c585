"""Bookings that a plan gives up, as far as that is still so: they changed since, or they did not.

A plan is a picture of its night.  A booking that went to another machine or to other days since,
was called off or has gone out, is none that it gives up; nobody has to plan again for that.
"""

from datetime import date

from django.db.models import Exists, OuterRef

from fleet.models import Booking, HandOver
from scheduling.models import Plan
from scheduling.queries.bookings_at_risk import open_bookings, risks_of
from scheduling.queries.risk_advice import at_risk
from scheduling.queries.risk_groups import risk_groups


def still_given_up(plan: Plan | None) -> set[int]:
    """Return the bookings that stand as they did when the plan gave them up; one query at most."""
    if plan is None or not plan.given_up:
        return set()
    moved = HandOver.objects.filter(booking=OuterRef("pk"))
    rows = Booking.objects.filter(~Exists(moved), pk__in=plan.given_up, cancelled_at=None)
    found = rows.order_by().values_list("pk", "machine_id", "first_day", "last_day")
    known = plan.given_up_as
    return {
        pk
        for pk, machine, first, last in found
        if str(pk) not in known or known[str(pk)] == [machine, first.isoformat(), last.isoformat()]
    }


def given_up_today(plan: Plan | None, today: date) -> int:
    """Count the bookings without a way that the plan gives up, as the Yard counts them.

    Six queries at most, and none where the plan gives nothing up.
    """
    lost = still_given_up(plan)
    if plan is None or not lost:
        return 0
    bookings = list(open_bookings(plan.shop, today).filter(pk__in=lost))
    return risk_groups(at_risk(risks_of(bookings, today), today), bookings, today).given_up
