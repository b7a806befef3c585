"""Somebody who waits is put on the list as they are typed, and booked once something is free."""

from django.db import transaction

from fleet.actions.make_bookings import NewBooking
from fleet.actions.open_hires import HireFacts, customer_of, open_hire
from fleet.actions.wait_list import NewWait, end_wait, wait_for
from fleet.models import Booking, Machine, Waiting
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import Decision, book_unless_blocked
from scheduling.availability.counter_facts import wanted_still
from scheduling.notices.wait_letters import seen_by_desk
from scheduling.queries.hire_lines import usual_value
from scheduling.queries.waits_to_serve import WaitTyped


@transaction.atomic
def put_on_list(typed: WaitTyped, facts: HireFacts, decision: Decision) -> Waiting:
    """Put somebody on the wait list, found or made as a customer."""
    customer = customer_of(facts, by=decision.by, now=decision.now)
    new = NewWait(
        customer, typed.machine_class, typed.yard, typed.first_day, typed.last_day,
        typed.machine, typed.note, typed.form_key, typed.from_time, typed.to_time,
    )  # fmt: skip
    row = wait_for(new, by=decision.by, now=decision.now)
    seen_by_desk(row, decision.now)
    return row


@transaction.atomic
def book_waiting(row: Waiting, machine: Machine, decision: Decision) -> Booking:
    """Book a machine for somebody who waits, who is then off the list; twice is once."""
    row = (
        Waiting.objects.select_for_update(of=("self",), no_key=True)
        .select_related("customer")
        .get(pk=row.pk)
    )
    if row.booking is not None:
        return row.booking
    if row.over_at:
        raise Refusal("They were taken off the wait list; book the machine for itself.")
    wanted = wanted_still(row, decision.day(machine))
    key = f"wait-{row.pk}"
    facts = HireFacts(row.customer.name, form_key=key)
    hire = open_hire(facts, by=decision.by, now=decision.now)
    if hire.customer_id != row.customer_id:  # another of the same name
        hire.customer = row.customer
        hire.save(update_fields=["customer"])
    value = usual_value(machine, wanted.first, row.last_day)
    new = NewBooking(
        machine, wanted.first, row.last_day, row.customer.name, value, key, hire=hire,
        from_time=wanted.from_time, to_time=wanted.to_time,
    )  # fmt: skip
    booking = book_unless_blocked(new, decision)
    row.booking = booking
    row.save(update_fields=["booking"])
    end_wait(row, by=decision.by, now=decision.now, why=f"{machine.tag} is booked")
    return booking
