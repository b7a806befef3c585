"""Letters to the desk: a machine is not back in time, who is to have it next, and the ways out.

The sweep looks, so that it is told within half a minute of its end.  Each is told once; back, moved
to a later end or let go, it is over, and late again it is told again.
"""

from collections.abc import Sequence
from datetime import datetime

from fleet.models import Shop
from scheduling.models import Notice
from scheduling.notices.addressees import desk
from scheduling.notices.causes import NoticeCause
from scheduling.notices.letter import Letter, link, mark, write
from scheduling.notices.posting import NewNotice, put_all
from scheduling.notices.risk_letters import another
from scheduling.queries.late_returns import LateReturn, late_returns

LATE = Notice.Kind.LATE


def tell_of_late(now: datetime) -> int:
    """Tell each shop's desk what is not back and was not told; return how many notices."""
    late = late_returns(now)
    told = _told(late, now)
    by_shop: dict[Shop, list[LateReturn]] = {}
    for one in late:
        if one.booking.pk not in told:
            by_shop.setdefault(one.booking.machine.yard.shop, []).append(one)
    return sum(_tell(shop, own, now) for shop, own in by_shop.items())


def _told(late: Sequence[LateReturn], now: datetime) -> set[int]:
    """Return the bookings that were told and are late still; what is so no more is over."""
    rows = Notice.objects.filter(kind=LATE, over_at=None)
    told = set(rows.values_list("booking_id", flat=True))
    still = told & {one.booking.pk for one in late}
    if told - still:
        rows.filter(booking__in=told - still).update(over_at=now)
    return still


def _tell(shop: Shop, late: Sequence[LateReturn], now: datetime) -> int:
    ids = [one.booking.pk for one in late]
    before = Notice.objects.filter(kind=LATE, booking__in=ids).values_list("booking", "round")
    rounds = {pk: number + 1 for pk, number in before.order_by("round")}
    news = [
        NewNotice(
            NoticeCause(LATE, booking_id=one.booking.pk), person, shop, write_late(one),
            one.booking.machine, rounds.get(one.booking.pk, 0),
        )
        for one in late
        for person in desk(shop)
    ]  # fmt: skip
    return put_all(news, now)


def write_late(late: LateReturn) -> Letter:
    """Write what is not back, whom to call, who is next, and what can be done."""
    booking, following = late.booking, late.following
    machine = booking.machine
    today = late.now.astimezone(machine.yard.zone).date()
    customer = booking.hire.customer if booking.hire else None
    context = {
        "mark": mark("due"),
        "late": late,
        "machine": machine,
        "booking": booking,
        "phone": customer.phone if customer else "",
        "following": following,
        "back_url": link("check-in", booking.pk),
        "booking_url": link("booking", booking.pk),
        "instead_url": another(following, today) if following else "",
        "next_url": link("booking", following.pk) if following else "",
    }
    subject = f"{machine.tag} is not back from {booking.customer}: due {late.was_due}"
    return write("late", subject, context)
