"""The wait list: somebody put on it, changed, taken off it and put back."""

from dataclasses import dataclass
from datetime import date, datetime, time

from django.db import transaction

from fleet.actions.keep_changes import differences, keep_change
from fleet.actions.make_bookings import refuse_days
from fleet.actions.remember_acts import remember_act
from fleet.booked_times import PromisedDays
from fleet.logged_words import values_of
from fleet.models import Act, Customer, Machine, MachineClass, Person, Waiting, Yard
from fleet.refusal import Refusal

FIELDS = (
    "machine_class", "machine", "yard", "first_day", "last_day", "from_time", "to_time", "note",
)  # fmt: skip
"""Fields of a wait that can be changed."""


@dataclass(frozen=True)
class NewWait:
    """Who waits for what, on which days of the yard; machine: for this one alone."""

    customer: Customer
    machine_class: MachineClass
    yard: Yard
    first_day: date
    last_day: date
    machine: Machine | None = None
    note: str = ""
    form_key: str | None = None
    from_time: time | None = None
    to_time: time | None = None


@transaction.atomic
def wait_for(new: NewWait, *, by: Person | None, now: datetime) -> Waiting:
    """Put a customer on the wait list; the same form sent twice is one wait."""
    if new.form_key and (made := Waiting.objects.filter(form_key=new.form_key).first()):
        return made
    _refuse_days(new, now)
    row = Waiting.objects.create(
        customer=new.customer, machine_class=new.machine_class, machine=new.machine,
        yard=new.yard, first_day=new.first_day, last_day=new.last_day, from_time=new.from_time,
        to_time=new.to_time, note=new.note.strip(),
        made_at=now, made_by=by, form_key=new.form_key,
    )  # fmt: skip
    words = f"{new.customer} on the wait list"
    remember_act(Act.What.BOOKING, words, {"wait": [row]}, by=by, now=now)
    return row


def _refuse_days(new: NewWait, now: datetime) -> None:
    """Refuse what could not be booked either: backwards, or a year that nobody can mean."""
    days = PromisedDays(new.first_day, new.last_day, new.from_time, new.to_time)
    refuse_days(days, now.astimezone(new.yard.zone).date())


@transaction.atomic
def correct_wait(row: Waiting, right: NewWait, *, by: Person | None, now: datetime) -> Waiting:
    """Put right what somebody waits for; the desk is told anew once something is free for that."""
    row = Waiting.objects.select_for_update(no_key=True).get(pk=row.pk)
    if row.over_at:
        raise Refusal("They are off the wait list; put them back first.")
    _refuse_days(right, now)
    before = values_of(row, FIELDS)
    for name in FIELDS:
        setattr(row, name, getattr(right, name))
    changed = differences(before, values_of(row, FIELDS))
    if changed:
        row.told_at = None
        row.save(update_fields=[*FIELDS, "told_at"])
        keep_change(row, "corrected", changed, by=by, now=now)
    return row


@transaction.atomic
def put_back_on_list(row: Waiting, *, by: Person | None, now: datetime) -> bool:
    """Let somebody who was taken off wait again; False if they wait, or were booked."""
    waits = Waiting.objects.filter(pk=row.pk, over_at__isnull=False, booking=None)
    if not waits.update(over_at=None, over_by=None, told_at=None):
        return False
    keep_change(row, "put back on the wait list", by=by, now=now)
    return True


@transaction.atomic
def end_wait(row: Waiting, *, by: Person | None, now: datetime, why: str = "") -> bool:
    """Take a customer off the list, booked or not; False if they were taken off before."""
    ended = Waiting.objects.filter(pk=row.pk, over_at=None).update(over_at=now, over_by=by)
    if ended:
        keep_change(row, "taken off the wait list", by=by, now=now, reason=why)
    return bool(ended)
