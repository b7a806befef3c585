"""The wait list: somebody put on it, told of to the desk once, taken off it."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from fleet.actions.keep_changes import keep_change
from fleet.models import Customer, Machine, MachineClass, Person, Waiting, Yard
from fleet.refusal import Refusal


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


@transaction.atomic
def wait_for(new: NewWait, *, by: Person | None, now: datetime) -> Waiting:
    """Put a customer on the wait list; the same form sent twice is one wait."""
    if new.form_key and (made := Waiting.objects.filter(form_key=new.form_key).first()):
        return made
    if new.last_day < new.first_day:
        raise Refusal("The last day is before the first; swap them.", "last_day")
    return Waiting.objects.create(
        customer=new.customer, machine_class=new.machine_class, machine=new.machine,
        yard=new.yard, first_day=new.first_day, last_day=new.last_day, note=new.note.strip(),
        made_at=now, made_by=by, form_key=new.form_key,
    )  # fmt: skip


@transaction.atomic
def end_wait(row: Waiting, *, by: Person | None, now: datetime, why: str = "") -> bool:
    """Take a customer off the list, booked or not; False if they were taken off before."""
    ended = Waiting.objects.filter(pk=row.pk, over_at=None).update(over_at=now, over_by=by)
    if ended:
        keep_change(row, "taken off the wait list", by=by, now=now, reason=why)
    return bool(ended)
