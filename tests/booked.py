"""Booking as the counter does, without asking what stands against it."""

from dataclasses import replace
from datetime import datetime

from django.db import transaction

from fleet.actions.make_bookings import NewBooking, made_by_form, promise
from fleet.models import Booking, Machine, Person


@transaction.atomic
def book(new: NewBooking, *, by: Person | None, now: datetime) -> Booking:
    """Promise a machine whose row is held; the same form sent twice is one booking."""
    rows = Machine.objects.select_for_update(of=("self",), no_key=True)
    machine = rows.select_related("yard", "makeup__machine_class").get(pk=new.machine.pk)
    return made_by_form(new) or promise(replace(new, machine=machine), by=by, now=now)
