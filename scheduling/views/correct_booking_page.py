"""A booking put right, and one that was called off called back in."""

from datetime import datetime
from decimal import Decimal

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from fleet.access import roles, signed_in
from fleet.may_correct import may_correct, written_on
from fleet.models import Booking, Role
from fleet.refusal import Refusal
from fleet.saying import say_money
from scheduling.actions.book_and_check_out import Decision
from scheduling.actions.correct_promise import (
    call_back_in_unless_blocked,
    correct_unless_blocked,
    what_it_would_do,
)
from scheduling.availability.answer import Availability
from scheduling.forms.correct_booking_form import CorrectBookingForm, seen_now, seen_then
from scheduling.queries.booking_details import bookings_of


def booking_to_change(request: HttpRequest, pk: int, now: datetime) -> Booking:
    """Return a booking that this person may change; whoever may not is turned away."""
    person = signed_in(request)
    found = get_object_or_404(bookings_of(person), pk=pk)
    if not may_correct(
        person, written_on(found.machine, found.made_by_id, found.made_at, Role.DESK), now
    ):
        raise PermissionDenied
    return found


@roles(Role.DESK)
@require_http_methods(["GET", "HEAD", "POST"])
def correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a booking as it was made; put it right."""
    now = timezone.now()
    found = booking_to_change(request, pk, now)
    if found.cancelled_at:
        messages.warning(request, "This booking was called off; call it back in first.")
        return redirect("booking", pk)
    data = request.POST if request.method == "POST" else None
    form = CorrectBookingForm(data, found, signed_in(request))
    told = None
    if form.is_valid():
        told = what_it_would_do(found, form.right(), _decision(request, form, now))
        if told and told.after_work and "sure" not in request.POST:
            return _shown(request, found, form, now, told)
        try:
            _change(request, found, form, now)
        except Refusal as no:
            form.add_error(no.field if no.field in form.fields else None, no.sentence)
            found = booking_to_change(request, pk, now)  # as it stands now, for whoever looks again
        else:
            return redirect("booking", pk)
    return _shown(request, found, form, now, told)


def _money(amount: Decimal) -> str:
    return say_money(float(amount), settings.CURRENCY)


def _decision(request: HttpRequest, form: CorrectBookingForm, now: datetime) -> Decision:
    return Decision(signed_in(request), now, form.cleaned_data["reason"].strip())


def _change(request: HttpRequest, found: Booking, form: CorrectBookingForm, now: datetime) -> None:
    """Change the booking, and say what became of its price."""
    seen, old = seen_then(request.POST.get("seen", "")), found.value
    row = correct_unless_blocked(found, form.right(), _decision(request, form, now), seen=seen)
    messages.success(
        request,
        f"The booking is changed; what it said before stays on record.{say_price(old, row.value)}",
    )


def say_price(old: Decimal | None, new: Decimal | None) -> str:
    """Say a price that moved, as a sentence after another; nothing where it stays."""
    if new == old or new is None or old is None:
        return ""
    return f" Its price is {_money(new)}, was {_money(old)}."


def _shown(
    request: HttpRequest,
    found: Booking,
    form: CorrectBookingForm,
    now: datetime,
    told: Availability | None,
) -> HttpResponse:
    """Show the form, with what the change would bring about before it is made."""
    context = {
        "booking": found,
        "machine": found.machine,
        "form": form,
        "seen": seen_now(found),
        "answer": told if told and not told.yes else None,
        "today": now.astimezone(found.machine.yard.zone).date(),
    }
    return render(request, "scheduling/correct_booking.html", context)


@roles(Role.DESK)
@require_POST
def back_in(request: HttpRequest, pk: int) -> HttpResponse:
    """Call a booking back in that was called off."""
    now = timezone.now()
    found = booking_to_change(request, pk, now)
    try:
        call_back_in_unless_blocked(found, Decision(signed_in(request), now))
    except Refusal as no:
        messages.error(request, no.sentence)
    else:
        messages.success(request, f"The booking of {found.customer} stands again.")
    return redirect("booking", pk)


paths = [
    path("counter/bookings/<int:pk>/correct/", correct, name="booking-correct"),
    path("counter/bookings/<int:pk>/back-in/", back_in, name="booking-back-in"),
]
