"""Check-out and return: what the meters show, the walk round, and whether it may go at all."""

from collections.abc import Callable
from datetime import datetime
from secrets import token_hex

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from fleet.access import roles, signed_in
from fleet.actions.hand_over import WalkRound
from fleet.forms.hand_over_form import HandOverForm
from fleet.models import Booking, HandOver, Role
from fleet.queries.dials import dials_of
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import Decision
from scheduling.actions.take_hand_over import (
    Handed,
    check_in_with_readings,
    check_out_with_readings,
    hang_hold,
)
from scheduling.availability.answer import Availability
from scheduling.queries.booking_details import bookings_of, directions_made
from scheduling.queries.may_go_out import may_go_out
from scheduling.views.booking_pages import day_in

Write = Callable[[Booking, Handed, Decision], HandOver | None]


@roles(Role.DESK)
@require_http_methods(["GET", "HEAD", "POST"])
def check_out(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a booked machine go; what stands against it is said first."""
    return _hand_over(request, pk, HandOver.Direction.OUT, check_out_with_readings)


@roles(Role.DESK)
@require_http_methods(["GET", "HEAD", "POST"])
def check_in(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a machine back."""
    return _hand_over(request, pk, HandOver.Direction.BACK, check_in_with_readings)


def _hand_over(request: HttpRequest, pk: int, direction: str, write: Write) -> HttpResponse:
    booking = get_object_or_404(bookings_of(signed_in(request)), pk=pk)
    now = timezone.now()
    if said := _not_its_turn(booking, direction):
        messages.warning(request, said)
        return redirect("booking", pk)
    dials = dials_of(booking.machine)
    if request.method != "POST":
        form = HandOverForm(dials=dials, initial={"form_key": token_hex(10)})
        return _page(request, booking, form, direction, now)
    form = HandOverForm(request.POST, dials=dials)
    if done := _written(request, booking, form, write, now):
        return done
    return _page(request, booking, form, direction, now)


def _not_its_turn(booking: Booking, direction: str) -> str:
    """Say why this hand-over is not to be made, so that a page left open does no harm."""
    made = directions_made(booking)
    if booking.cancelled_at:
        return "This booking was called off; make a new one."
    if direction in made:
        done = "has gone out" if direction == HandOver.Direction.OUT else "is back"
        return f"{booking.machine.tag} {done} on this booking already."
    if direction == HandOver.Direction.BACK and HandOver.Direction.OUT not in made:
        return "This machine has not gone out on this booking; check it out first."
    return ""


def _written(
    request: HttpRequest, booking: Booking, form: HandOverForm, write: Write, now: datetime
) -> HttpResponse | None:
    """Write the hand-over and go on to the booking; None if there is something to mend first."""
    valid = form.is_valid()
    decision = Decision(signed_in(request), now, form.cleaned_data.get("reason", "").strip())
    out = write is check_out_with_readings
    if unsafe := form.unsafe_said():
        if out or not valid:
            hang_hold(booking.machine, unsafe, form.cleaned_data.get("form_key", ""), decision)
        messages.warning(request, f"{booking.machine.tag} is held: {unsafe}.")
        if out:
            return redirect("booking", booking.pk)
    if not valid:
        return None
    try:
        write(booking, _handed(form), decision)
    except Refusal as no:
        form.refuse(no)
        return None
    tag = booking.machine.tag
    messages.success(request, f"{tag} is out." if out else f"{tag} is back.")
    return redirect("booking", booking.pk)


def _handed(form: HandOverForm) -> Handed:
    """Return what a valid form says."""
    typed = form.cleaned_data
    seen = WalkRound(form.points(), typed["note"].strip())
    return Handed(typed["form_key"], form.readings(), form.unread(), seen, form.unsafe_said())


def _page(
    request: HttpRequest, booking: Booking, form: HandOverForm, direction: str, now: datetime
) -> HttpResponse:
    today = day_in(booking.machine, now)
    out = direction == HandOver.Direction.OUT
    answer: Availability | None = None
    if out and today <= booking.last_day:
        answer = may_go_out(booking.machine, today, booking.last_day, today, but=booking)
        form.fields["reason"].required = not answer.yes  # for the page: what was sent is judged
    context = {
        "booking": booking,
        "machine": booking.machine,
        "yard": booking.machine.yard,
        "form": form,
        "out": out,
        "answer": answer,
        "over": out and today > booking.last_day,
        "today": today,
    }
    return render(request, "scheduling/hand_over.html", context)


paths = [
    path("counter/bookings/<int:pk>/out/", check_out, name="check-out"),
    path("counter/bookings/<int:pk>/back/", check_in, name="check-in"),
]
