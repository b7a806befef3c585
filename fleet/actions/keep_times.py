"""The moments between which a machine is promised, kept in step with all that they follow from.

Everything that makes or moves a booking, hands its machine over, or moves the machine to another
yard comes through here.  A machine that went out early is taken from then on, one that came back is
free from then on (and its turn-round); but where a fact runs into somebody else's promise, that
promise stands, and this one gives way: `HandOver` tells what really happened.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime, timedelta
from itertools import pairwise

from django.db import IntegrityError, transaction
from django.db.models import QuerySet

from fleet.booked_times import span_of
from fleet.models import Booking, HandOver, Machine
from fleet.refusal import Refusal

TIMES = ["starts_at", "ends_at", "stood_double"]
"""Fields that are written here."""
MOMENTS = ["starts_at", "ends_at"]
BATCH = 500


def give_times(booking: Booking) -> Booking:
    """Set the moments of a booking on which nothing has gone out; it is not saved."""
    booking.starts_at, booking.ends_at = promised_span(booking)
    return booking


def promised_span(booking: Booking) -> tuple[datetime, datetime]:
    """Return the moments that a booking's days and times mean, whatever became of it."""
    return span_of(
        booking.days,
        booking.machine.yard.zone,
        made_at=booking.made_at,
        turn_round=turn_round(booking.machine),
    )


def turn_round(machine: Machine) -> timedelta:
    """Return what passes between one customer of a machine and the next."""
    return timedelta(minutes=machine.makeup.machine_class.turn_round_minutes)


def lived_span(booking: Booking, handed: Iterable[HandOver]) -> tuple[datetime, datetime]:
    """Return the moments of a booking with what became of it: out early, back early or late."""
    starts, ends = promised_span(booking)
    for row in handed:
        if row.direction == HandOver.Direction.OUT:
            starts = min(starts, row.at)
        else:
            ends = row.at + turn_round(booking.machine)
    return starts, max(starts, ends)


def save_booking(
    booking: Booking, fields: Collection[str], handed: Sequence[HandOver] | None = None
) -> Booking:
    """Save fields of a booking with the moments that follow from them.

    handed: its hand-overs, where they are known, one that is still to be written among them.

    Raises:
        Refusal: the database has another promise of the machine at these moments.

    """
    handed = list(booking.hand_overs.all()) if handed is None else handed
    until = booking.ends_at
    booking.starts_at, booking.ends_at = lived_span(booking, handed)
    booking.stood_double = False
    written = list(dict.fromkeys([*fields, *TIMES]))
    if handed:
        _give_way(booking, until)  # so the database has nothing against it
        booking.save(update_fields=written)
        return booking
    with never_twice(booking.machine):
        booking.save(update_fields=written)
    return booking


def _give_way(booking: Booking, until: datetime) -> None:
    """Let what really happened end or start where somebody else's promise does.

    until: the moment up to which the machine was its own before.
    """
    starts, _ = promised_span(booking)
    others = _standing(booking)
    if booking.starts_at < starts:
        before = others.filter(ends_at__gt=booking.starts_at, starts_at__lt=starts)
        last = before.order_by("-ends_at").values_list("ends_at", flat=True).first()
        booking.starts_at = min(max(booking.starts_at, last), starts) if last else booking.starts_at
        booking.ends_at = max(booking.starts_at, booking.ends_at)  # out and back before it began
    if booking.ends_at <= until:
        return
    after = others.filter(starts_at__lt=booking.ends_at, ends_at__gt=starts)
    if first := after.order_by("starts_at").values_list("starts_at", flat=True).first():
        booking.ends_at = max(booking.starts_at, min(booking.ends_at, first))


def _standing(booking: Booking) -> QuerySet[Booking]:
    rows = Booking.objects.filter(machine=booking.machine_id, cancelled_at=None)
    return rows.exclude(pk=booking.pk)


@contextmanager
def never_twice(machine: Machine, *, savepoint: bool = True) -> Iterator[None]:
    """Say in a sentence what the database refuses: that a machine is promised twice at once.

    savepoint: False where the caller's own savepoint is rolled back by the refusal anyway.
    """
    try:
        with transaction.atomic(savepoint=savepoint):
            yield
    except IntegrityError as error:
        if Booking.NEVER_TWICE not in str(error):
            raise
        raise Refusal(
            f"Somebody else booked {machine.tag} on some of these days a moment ago; choose other"
            " days or another machine.",
            "first_day",
        ) from None


def retime(machine_ids: Collection[int]) -> None:
    """Work the moments of these machines' standing bookings out anew: they changed yard or zone.

    Their order stays.  Where a clock change would let two of them touch, the earlier one gives way.
    """
    rows = (
        Booking.objects.filter(machine__in=machine_ids, cancelled_at=None, stood_double=False)
        .select_related("machine__yard", "machine__makeup__machine_class")
        .prefetch_related("hand_overs")
    )
    own: dict[int, list[Booking]] = defaultdict(list)
    for booking in rows.order_by("starts_at", "ends_at"):
        booking.starts_at, booking.ends_at = lived_span(booking, booking.hand_overs.all())
        own[booking.machine_id].append(booking)
    found = [row for rows in own.values() for row in _one_after_another(rows)]
    ids = [booking.pk for booking in found]
    for start in range(0, len(ids), BATCH):  # put aside: one by one they would meet on their way
        Booking.objects.filter(pk__in=ids[start : start + BATCH]).update(stood_double=True)
    Booking.objects.bulk_update(found, MOMENTS, batch_size=BATCH)
    for start in range(0, len(ids), BATCH):
        Booking.objects.filter(pk__in=ids[start : start + BATCH]).update(stood_double=False)


def _one_after_another(rows: list[Booking]) -> list[Booking]:
    """Let each end where the next one starts, at the latest."""
    rows.sort(key=lambda one: (one.starts_at, one.ends_at))
    for this, following in pairwise(rows):
        this.ends_at = max(this.starts_at, min(this.ends_at, following.starts_at))
    return rows
