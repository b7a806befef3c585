"""A booking given another machine: the choices on one page, each taken by one press.

The customer, the days and the notes stay, and the first machine is let go in the same transaction
that promises the second.
"""

from datetime import datetime

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from fleet.access import roles, signed_in
from fleet.models import Booking, HandOver, Role
from fleet.queries.mine import machines_of
from fleet.queries.own_facts import one_that_may_take
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import Decision
from scheduling.actions.correct_promise import give_another_machine
from scheduling.availability.counter_facts import left_of
from scheduling.availability.machines_instead import Choice
from scheduling.forms.correct_booking_form import seen_now, seen_then
from scheduling.queries.booking_details import hand_overs_of
from scheduling.queries.which_instead import which_instead
from scheduling.views.correct_booking_page import booking_to_change, say_price


@roles(Role.DESK)
@require_http_methods(["GET", "HEAD", "POST"])
def another_machine(request: HttpRequest, pk: int) -> HttpResponse:
    """Show which machines may take a booking; give it the one that is pressed."""
    now = timezone.now()
    found = booking_to_change(request, pk, now)
    if said := _not_to_change(found, now):
        messages.warning(request, said)
        return redirect("booking", pk)
    tag = request.POST.get("machine", "")
    if tag == found.machine.tag or (tag and _given(request, found, tag, now)):
        return redirect("booking", pk)
    found = booking_to_change(request, pk, now) if tag else found
    context = {
        "booking": found,
        "machine": found.machine,
        "choices": _choices(request, found, now),
        "seen": seen_now(found),
        "today": now.astimezone(found.machine.yard.zone).date(),
    }
    return render(request, "scheduling/another_machine.html", context)


def _not_to_change(found: Booking, now: datetime) -> str:
    """Say why no other machine can be promised in the place of this one."""
    if found.cancelled_at:
        return "This booking was called off; call it back in first."
    if HandOver.Direction.OUT in hand_overs_of(found):
        return f"{found.machine.tag} has gone out on this booking; take it back instead."
    if found.last_day < now.astimezone(found.machine.yard.zone).date():
        return "This booking is over by its days; move its last day first."
    return ""


def _choices(request: HttpRequest, found: Booking, now: datetime) -> list[Choice]:
    """Return the machines that may take it on its own days, the best first."""
    today = now.astimezone(found.machine.yard.zone).date()
    left = left_of(found, today, now)
    among = machines_of(signed_in(request))
    rows = which_instead(found.machine, left, today, among=among, hours_a_day=found.hours_a_day)
    return [one for one in rows if not one.later]


def _given(request: HttpRequest, found: Booking, tag: str, now: datetime) -> bool:
    """Give the booking the machine of a tag; say why not where that cannot be."""
    machine = one_that_may_take(found.machine, machines_of(signed_in(request)), tag)
    if machine is None:
        messages.error(request, "That machine may not take this booking; choose one of these.")
        return False
    was = found.machine.tag
    seen = seen_then(request.POST.get("seen", ""))
    try:
        row = give_another_machine(found, machine, Decision(signed_in(request), now), seen=seen)
    except Refusal as no:
        messages.error(request, no.sentence)
        return False
    messages.success(
        request,
        f"{machine.tag} is booked for {row.customer} now, and {was} is free."
        f"{say_price(found.value, row.value)}",
    )
    return True


paths = [path("counter/bookings/<int:pk>/another/", another_machine, name="booking-another")]
