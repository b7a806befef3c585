"""The ways out of a booking at risk: shown where it stands on the Yard, taken with one press."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_POST, require_safe

from fleet.access import roles, signed_in
from fleet.models import Booking
from fleet.refusal import Refusal
from fleet.saying import short_date
from scheduling.actions.book_and_check_out import Decision
from scheduling.actions.take_ways_out import (
    do_it_sooner,
    give_instead,
    have_it_back_sooner,
    let_it_go_anyway,
)
from scheduling.forms.shop_days_forms import MoveForm
from scheduling.forms.way_out_form import WayOutForm
from scheduling.forms.yard_filter_form import YardFilter
from scheduling.models import PlanSearch
from scheduling.queries.booking_details import bookings_of
from scheduling.queries.bookings_at_risk import open_bookings
from scheduling.queries.ways_out import WayKind, ways_out
from scheduling.views.progress_page import to_progress


def _open_booking(request: HttpRequest, pk: int, now: datetime) -> Booking:
    """Return a booking that stands and has not gone out, of a machine that a person may see."""
    booking = get_object_or_404(bookings_of(signed_in(request)), pk=pk)
    shop = booking.machine.yard.shop
    today = now.astimezone(shop.zone).date()
    found: Booking = get_object_or_404(open_bookings(shop, today), pk=pk)
    found.machine = booking.machine
    return found


@roles()
@require_safe
def ways(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the ways of one booking, as a part of the Yard or on a page of their own."""
    now = timezone.now()
    booking = _open_booking(request, pk, now)
    zone = booking.machine.yard.zone
    htmx: Any = request.htmx  # type: ignore[attr-defined]
    part = bool(htmx)
    context = {
        "booking": booking,
        "found": None if booking.is_out else ways_out(booking, signed_in(request), now),  # type: ignore[attr-defined]
        "today": now.astimezone(zone).date(),
        "asked": (htmx.current_url or "").partition("#")[0].partition("?")[2] if part else "",
    }
    return render(request, f"scheduling/{'_ways' if part else 'ways'}.html", context)


@roles()
@require_POST
def take(request: HttpRequest, pk: int) -> HttpResponse:
    """Take one way, and go back to the Yard with what came of it."""
    now = timezone.now()
    booking = _open_booking(request, pk, now)
    back = _yard_of(booking, request.POST.get("asked", ""))
    form = WayOutForm(request.POST, person=signed_in(request))
    try:
        if not form.is_valid():
            raise Refusal(form.fault)
        done = _take(request, booking, form, now)
    except Refusal as no:
        messages.error(request, no.sentence)
        return redirect("ways-out", booking.pk)
    if isinstance(done, PlanSearch):
        return to_progress(done, back)
    messages.success(request, done)
    return redirect(back)


def _yard_of(booking: Booking, asked: str) -> str:
    """Return the address of the Yard on which a booking stands, narrowed down as it was."""
    typed, choices = QueryDict(asked[:500]), YardFilter.base_fields
    kept = {name: str(value) for name, value in typed.items() if name in choices}
    return f"{reverse('yard')}?{urlencode({'shop': str(booking.machine.yard.shop_id)} | kept)}"


def _take(
    request: HttpRequest, booking: Booking, form: WayOutForm, now: datetime
) -> str | PlanSearch:
    """Do what was pressed; return what to say, or the search that follows it."""
    given = form.cleaned_data
    decision = Decision(signed_in(request), now, given["reason"])
    machine, customer = booking.machine, booking.customer
    today = decision.day(machine)
    if given["kind"] == WayKind.SWAP:
        give_instead(booking, given["instead"], decision)
        return f"{customer} gets {given['instead'].tag} in place of {machine.tag}."
    if given["kind"] == WayKind.SHORTER:
        have_it_back_sooner(booking, given["last_day"], decision)
        return f"{customer} brings {machine.tag} back by {short_date(given['last_day'], today)}."
    if given["kind"] == WayKind.ANYWAY:
        let_it_go_anyway(booking, decision)
        return f"{machine.tag} goes to {customer} anyway; your name and the reason are on record."
    shop = machine.yard.shop
    move = MoveForm(shop, today, request.POST)
    if not move.is_valid():
        raise Refusal(" ".join(str(error[0]) for error in move.errors.values()))
    return do_it_sooner(shop, move.move(), decision, overtime=given["hours"] or 0.0)


paths = [
    path("yard/ways/<int:pk>/", ways, name="ways-out"),
    path("yard/ways/<int:pk>/take/", take, name="take-way-out"),
]
