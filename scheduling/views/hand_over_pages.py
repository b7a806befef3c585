"""Check-out and return: what the meters show, the walk round, and whether it may go at all."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from secrets import token_hex
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_http_methods

from fleet.access import roles, signed_in
from fleet.booked_times import due_back
from fleet.forms.as_it_came_back import as_it_came_back
from fleet.forms.hand_over_form import HandOverForm, Kit
from fleet.models import Booking, Finding, HandOver, Hold, Machine, Role
from fleet.photos_aside import PhotosAside
from fleet.queries.dials import dials_of
from fleet.queries.just_back import just_back
from fleet.queries.kept_extras import has_rule
from fleet.queries.occasion_services import occasion_services
from fleet.queries.points_of_class import accessories_of, points_of
from fleet.queries.safety_findings import open_safety_findings
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import Decision
from scheduling.actions.take_hand_over import (
    Handed,
    check_in_with_readings,
    check_out_with_readings,
    hold_at_once,
)
from scheduling.availability.answer import Availability
from scheduling.availability.counter_facts import going_out
from scheduling.forms.extras_forms import WithHandOverForm
from scheduling.queries.booking_details import bookings_to_hand_over, hand_overs_made
from scheduling.queries.may_go_out import may_go_between
from scheduling.views.booking_pages import day_in
from scheduling.views.photo_uploads import TOO_MUCH, too_large

Write = Callable[[Booking, Handed, Decision], HandOver | None]


@csrf_exempt  # the size is looked at before anything of the form is read; then it is protected
@require_http_methods(["GET", "HEAD", "POST"])
def check_out(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a booked machine go; what stands against it is said first."""
    if too_large(request):
        return _too_much(request, pk, HandOver.Direction.OUT)
    return _hand_over(request, pk, HandOver.Direction.OUT, check_out_with_readings)


@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
def check_in(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a machine back."""
    if too_large(request):
        return _too_much(request, pk, HandOver.Direction.BACK)
    return _hand_over(request, pk, HandOver.Direction.BACK, check_in_with_readings)


@roles(Role.DESK)
def _too_much(request: HttpRequest, pk: int, direction: str) -> HttpResponse:
    """Say that a form was too large, and ask anew: nothing of it was read."""
    messages.error(request, TOO_MUCH)
    return redirect("check-out" if direction == HandOver.Direction.OUT else "check-in", pk)


@csrf_protect
@roles(Role.DESK)
def _hand_over(request: HttpRequest, pk: int, direction: str, write: Write) -> HttpResponse:
    booking: Any = get_object_or_404(bookings_to_hand_over(signed_in(request)), pk=pk)
    now = timezone.now()
    made = hand_overs_made(booking) if booking.handed else {}
    if said := _not_its_turn(booking, direction, made):
        messages.warning(request, said)
        return redirect("booking", pk)
    sent = request.POST if request.method == "POST" else None
    gone = made.get(HandOver.Direction.OUT)
    asked = open_safety_findings(booking.machine) if booking.asks and gone is None else []
    hours = {"hours_a_day": booking.hours_a_day}
    form = form_of(sent, booking.machine, gone, asked, initial=hours, now=now)
    files = request.FILES if sent is not None else None
    key = request.POST.get("form_key", "")
    aside = PhotosAside.of(signed_in(request), key, f"{direction} {pk}") if key else None
    extras = WithHandOverForm(sent, files, by_rule=_by_rule(booking, direction), aside=aside)
    seen = _Asked(form, extras, direction, now)
    if sent is not None and (done := _written(request, booking, seen, write)):
        return done
    return _page(request, booking, seen)


@dataclass(frozen=True)
class _Asked:
    """The forms of the page: the hand-over itself, and what is kept with it."""

    form: HandOverForm
    extras: WithHandOverForm
    direction: str
    now: datetime


def _by_rule(booking: Booking, direction: str) -> bool:
    back = direction == HandOver.Direction.BACK
    return back and has_rule(booking.machine.makeup.machine_class)


def form_of(
    sent: QueryDict | None,
    machine: Machine,
    gone: HandOver | None = None,
    asked: Sequence[Finding] = (),
    *,
    initial: Mapping[str, Any],
    now: datetime,
) -> HandOverForm:
    """Return the form that asks for what this machine has.

    gone: the check-out beside which a return stands.  asked: open findings for safety.  A sheet
    that is new says what was typed as the machine came back a moment ago.
    """
    dials, points = dials_of(machine), points_of(machine.makeup.machine_class)
    if sent is None and gone is None and (back := just_back(machine, now)):
        initial = {**as_it_came_back(back, dials, points), **initial}
    return HandOverForm(
        sent,
        dials=dials,
        points=points,
        was=gone.walk_round if gone and gone.walk_round else None,
        asked=asked,
        kit=Kit(machine.makeup.machine_class.runs_on, _goes_along(machine, gone)),
        initial={"form_key": token_hex(10), **initial},
    )


def _goes_along(machine: Machine, gone: HandOver | None) -> list[str]:
    """Return what goes with a machine, or what went with it and has to come back."""
    if gone:
        return [words for words, went in gone.accessories.items() if went]
    return accessories_of(machine.makeup.machine_class)


def _not_its_turn(booking: Booking, direction: str, made: Mapping[str, HandOver]) -> str:
    """Say why this hand-over is not to be made, so that a page left open does no harm."""
    if booking.cancelled_at:
        return "This booking was called off; make a new one."
    if direction in made:
        done = "has gone out" if direction == HandOver.Direction.OUT else "is back"
        return f"{booking.machine.tag} {done} on this booking already."
    if direction == HandOver.Direction.BACK and HandOver.Direction.OUT not in made:
        return "This machine has not gone out on this booking; check it out first."
    return ""


def _written(
    request: HttpRequest, booking: Booking, asked: _Asked, write: Write
) -> HttpResponse | None:
    """Write the hand-over and go on to the booking; None if there is something to mend first."""
    form, extras, now = asked.form, asked.extras, asked.now
    fine = extras.is_valid()
    made = extras.look()
    valid = form.is_valid() and fine and extras.is_valid()
    decision = Decision(signed_in(request), now, form.cleaned_data.get("reason", "").strip())
    out = write is check_out_with_readings
    handed = _handed(form, valid=valid)
    handed = replace(handed, along=extras.along(handed.form_key, made, whole=valid))
    if handed.stays and (out or not valid):
        direction = HandOver.Direction.OUT if out else HandOver.Direction.BACK
        _say_held(request, booking, hold_at_once(booking.machine, handed, decision, direction))
        if out:
            extras.let_go()
            return redirect("booking", booking.pk)
    if not valid:
        return None
    try:
        row = write(booking, handed, decision)
    except Refusal as no:
        form.refuse(no)
        return None
    extras.let_go()
    tag = booking.machine.tag
    messages.success(request, f"{tag} is out." if out else f"{tag} is back.")
    if row is not None:
        _say_held(request, booking, row.just_hung)
    return redirect("booking", booking.pk)


def _say_held(request: HttpRequest, booking: Booking, holds: Sequence[Hold]) -> None:
    tag = booking.machine.tag
    for hold in holds:
        messages.warning(request, f"{tag} is held: {hold.reason}.")


def _handed(form: HandOverForm, *, valid: bool) -> Handed:
    """Return what a form says; of one that is not valid what is not safe alone."""
    typed = form.cleaned_data
    readings, unread = (form.readings(), form.unread()) if valid else ([], [])
    key = typed.get("form_key", "")
    return Handed(key, readings, unread, form.seen(), form.unsafe_said(), form.still_unsafe())


def _page(request: HttpRequest, booking: Booking, asked: _Asked) -> HttpResponse:
    form, now = asked.form, asked.now
    asked.extras.put_aside(now)
    today = day_in(booking.machine, now)
    out = asked.direction == HandOver.Direction.OUT
    answer: Availability | None = None
    over = out and due_back(booking.days, booking.machine.yard.zone) <= now
    if out and not over:
        days = going_out(booking, today, now)
        answer = may_go_between(booking.machine, days, today, but=booking)
        form.fields["reason"].required = not answer.yes  # for the page: what was sent is judged
    context = {
        "booking": booking,
        "machine": booking.machine,
        "yard": booking.machine.yard,
        "form": form,
        "extras": asked.extras,
        "out": out,
        "answer": answer,
        "over": over,
        "today": today,
        "occasions": occasion_services(
            booking.machine, today, ("before-hire",) if out else ("return",)
        ),
        "may_work": signed_in(request).manages,
    }
    return render(request, "scheduling/hand_over.html", context)


paths = [
    path("counter/bookings/<int:pk>/out/", check_out, name="check-out"),
    path("counter/bookings/<int:pk>/back/", check_in, name="check-in"),
]
