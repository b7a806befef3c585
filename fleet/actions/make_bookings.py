"""Bookings are made, moved and called off here; one machine is promised once a day."""

from copy import copy
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from django.db import transaction

from fleet.actions.keep_changes import keep_change
from fleet.actions.keep_times import give_times, never_twice, promised_span, save_booking
from fleet.actions.open_hires import HireFacts, open_hire
from fleet.actions.remember_acts import remember_act
from fleet.booked_times import PromisedDays, say_booked
from fleet.changed_facts import tell
from fleet.models import Act, Booking, BookingChange, Hire, Machine, Person
from fleet.refusal import Refusal

AHEAD = timedelta(days=3660)
"""How far ahead a machine can be promised, and for how long: ten years."""


@dataclass(frozen=True)
class NewBooking:
    """What the counter asks for; days and times of day are those of its yard.

    hire: the customer's booking to which the machine is added; without one a new one is opened, of
    `who` if that is told, else of the customer's name alone.  hours_a_day: how long it is to run.
    """

    machine: Machine
    first_day: date
    last_day: date
    customer: str
    value: Decimal | None = None
    form_key: str | None = None
    hire: Hire | None = None
    who: HireFacts | None = None
    from_time: time | None = None
    to_time: time | None = None
    hours_a_day: float | None = None


def wished(new: NewBooking, now: datetime) -> Booking:
    """Return the booking that is asked for, with its moments; it is not saved."""
    return give_times(
        Booking(
            machine=new.machine,
            first_day=new.first_day,
            last_day=new.last_day,
            from_time=new.from_time,
            to_time=new.to_time,
            value=new.value,
            hours_a_day=new.hours_a_day,
            made_at=now,
            form_key=new.form_key,
        )
    )


def clash(wish: Booking, starts_at: datetime, ends_at: datetime) -> Booking | None:
    """Return another standing booking of a booking's machine at any of these moments."""
    rows = Booking.objects.filter(
        machine=wish.machine, cancelled_at=None, starts_at__lt=ends_at, ends_at__gt=starts_at
    )
    return (rows.exclude(pk=wish.pk) if wish.pk else rows).order_by("starts_at").first()


def clash_until(booking: Booking, last_day: date) -> Booking | None:
    """Return what a booking would run into if it lasted until another day; nothing is changed."""
    longer = copy(booking)
    longer.last_day = last_day
    return clash(longer, *promised_span(longer))


def refuse_clash(wish: Booking) -> None:
    """Refuse what a booking says where its machine is promised to somebody else by then."""
    machine = wish.machine
    if other := clash(wish, *promised_span(wish)):
        raise Refusal(
            f"{machine.tag} is booked for {other.customer},"
            f" {say_booked(other.days, wish.first_day)}; choose other days or another machine.",
            "first_day",
        )


def refuse_days(days: PromisedDays, today: date) -> None:
    """Refuse days that run backwards, and those of a year that nobody can mean."""
    if days.last_day < days.first_day:
        raise Refusal("The last day is before the first; swap them.", "last_day")
    if days.backwards:
        raise Refusal("It would come back before it goes out; look at the times.", "to_time")
    if days.last_day > today + AHEAD or days.first_day < today - AHEAD:
        late = days.last_day > today + AHEAD
        raise Refusal(
            "That is more than ten years away; look at the year again.",
            "last_day" if late else "first_day",
        )


def _locked(machine_pk: int) -> Machine:
    """Hold the machine's row until the transaction ends, so that two counters take turns.

    On SQLite the row lock is nothing and the transaction itself is the turn.
    """
    rows = Machine.objects.select_for_update(of=("self",), no_key=True)
    return rows.select_related("yard", "makeup__machine_class").get(pk=machine_pk)


def made_by_form(new: NewBooking) -> Booking | None:
    """Return the booking that the same form made before."""
    return Booking.objects.filter(form_key=new.form_key).first() if new.form_key else None


def promise(
    new: NewBooking,
    *,
    by: Person | None,
    now: datetime,
    remembered: bool = True,
    whole: bool = False,
) -> Booking:
    """Promise a machine whose row the caller's transaction holds; the form is a new one.

    whole: a refusal rolls the caller's own savepoint back, so that the database alone is asked for
    a clash; the caller then asks `refuse_clash`, which names the other booking.
    """
    machine = new.machine
    days = PromisedDays(new.first_day, new.last_day, new.from_time, new.to_time)
    refuse_days(days, now.astimezone(machine.yard.zone).date())
    if machine.retired_on and machine.retired_on <= new.last_day:
        raise Refusal(f"{machine.tag} is retired from {machine.retired_on}.", "machine")
    booking = wished(new, now)
    booking.made_by = by
    if not whole:
        refuse_clash(booking)
    booking.hire = new.hire or open_hire(new.who or HireFacts(new.customer), by=by, now=now)
    booking.customer = booking.hire.who
    with never_twice(machine, savepoint=not whole):
        booking.save()
    if remembered:
        words = f"the booking of {machine.tag} for {booking.customer}"
        rows = {"booking": [booking]}
        remember_act(Act.What.BOOKING, words, rows, by=by, now=now, machine=machine)
    tell({machine.pk})
    return booking


@transaction.atomic
def move_last_day(
    booking: Booking, last_day: date, *, reason: str, by: Person | None, now: datetime
) -> Booking:
    """Extend or shorten a booking; the old day stays on record beside the new one."""
    machine = _locked(booking.machine_id)
    booking.refresh_from_db()
    if last_day == booking.last_day:
        return booking
    if last_day < booking.first_day:
        raise Refusal(f"The booking starts on {booking.first_day:%a %-d %b}.", "last_day")
    old, booking.machine, booking.last_day = booking.last_day, machine, last_day
    refuse_days(booking.days, now.astimezone(machine.yard.zone).date())
    refuse_clash(booking)
    BookingChange.objects.create(
        booking=booking,
        old_last_day=old,
        new_last_day=last_day,
        reason=reason,
        by=by,
        at=now,
    )
    save_booking(booking, ["last_day"])
    tell({machine.pk})
    return booking


@transaction.atomic
def call_off(booking: Booking, *, by: Person | None, now: datetime, why: str = "") -> Booking:
    """Call a booking off; twice is once, and one that is out must come back first."""
    _locked(booking.machine_id)
    booking.refresh_from_db()
    if booking.cancelled_at:
        return booking
    if booking.hand_overs.exists():
        raise Refusal("The machine has gone out on this booking; take it back instead.")
    booking.cancelled_at, booking.cancelled_by = now, by
    booking.save(update_fields=["cancelled_at", "cancelled_by"])
    keep_change(booking, "called off", by=by, now=now, reason=why)
    tell({booking.machine_id})
    return booking
