"""Bookings are made, moved and called off here; one machine is promised once a day."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from fleet.actions.keep_changes import keep_change
from fleet.actions.open_hires import HireFacts, open_hire
from fleet.actions.remember_acts import remember_act
from fleet.changed_facts import tell
from fleet.models import Act, Booking, BookingChange, Hire, Machine, Person
from fleet.refusal import Refusal


@dataclass(frozen=True)
class NewBooking:
    """What the counter asks for; first and last day are days of the machine's yard.

    hire: the customer's booking to which the machine is added; without one a new one is opened, of
    `who` if that is told, else of the customer's name alone.
    """

    machine: Machine
    first_day: date
    last_day: date
    customer: str
    value: Decimal | None = None
    form_key: str | None = None
    hire: Hire | None = None
    who: HireFacts | None = None


def clash(
    machine: Machine, first_day: date, last_day: date, *, but: Booking | None = None
) -> Booking | None:
    """Return a standing booking of the machine on any of these days, other than the one named."""
    rows = Booking.objects.filter(
        machine=machine, cancelled_at=None, first_day__lte=last_day, last_day__gte=first_day
    )
    return (rows.exclude(pk=but.pk) if but else rows).first()


def _refuse_clash(machine: Machine, first_day: date, last_day: date, but: Booking | None) -> None:
    if other := clash(machine, first_day, last_day, but=but):
        raise Refusal(
            f"{machine.tag} is booked for {other.customer} from {other.first_day:%a %-d %b}"
            f" to {other.last_day:%a %-d %b}; choose other days or another machine.",
            "first_day",
        )


def _locked(machine_pk: int) -> Machine:
    """Hold the machine's row until the transaction ends, so that two counters take turns.

    On SQLite the row lock is nothing and the transaction itself is the turn.
    """
    return Machine.objects.select_for_update().get(pk=machine_pk)


@transaction.atomic
def book(new: NewBooking, *, by: Person | None, now: datetime) -> Booking:
    """Promise a machine; the same form sent twice is one booking."""
    machine = _locked(new.machine.pk)
    if new.form_key and (made := Booking.objects.filter(form_key=new.form_key).first()):
        return made
    if new.last_day < new.first_day:
        raise Refusal("The last day is before the first; swap them.", "last_day")
    if machine.retired_on and machine.retired_on <= new.last_day:
        raise Refusal(f"{machine.tag} is retired from {machine.retired_on}.", "machine")
    _refuse_clash(machine, new.first_day, new.last_day, None)
    hire = new.hire or open_hire(new.who or HireFacts(new.customer), by=by, now=now)
    booking = Booking.objects.create(
        machine=machine,
        hire=hire,
        first_day=new.first_day,
        last_day=new.last_day,
        customer=hire.who,
        value=new.value,
        made_at=now,
        made_by=by,
        form_key=new.form_key,
    )
    words = f"the booking of {machine.tag} for {booking.customer}"
    remember_act(Act.What.BOOKING, words, {"booking": [booking]}, by=by, now=now, machine=machine)
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
    _refuse_clash(machine, booking.first_day, last_day, booking)
    BookingChange.objects.create(
        booking=booking,
        old_last_day=booking.last_day,
        new_last_day=last_day,
        reason=reason,
        by=by,
        at=now,
    )
    booking.last_day = last_day
    booking.save(update_fields=["last_day"])
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
