"""Booking a machine, and the booking's own page: another last day, called off, what happened."""

from datetime import date, datetime
from secrets import token_hex
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fleet.access import roles, signed_in
from fleet.actions.make_bookings import NewBooking, call_off
from fleet.booked_times import due_back
from fleet.models import Booking, HandOver, Machine, Role
from fleet.queries.customer_list import hire_numbered
from fleet.queries.just_back import just_back
from fleet.queries.last_act import last_act
from fleet.queries.mine import machines_of
from fleet.queries.own_facts import changes_to
from fleet.refusal import Refusal
from fleet.todays_tag import led_by_tag
from scheduling.actions.book_and_check_out import (
    Decision,
    book_unless_blocked,
    prolong_unless_blocked,
)
from scheduling.availability.counter_facts import left_of
from scheduling.forms.correct_booking_form import CorrectBookingForm, seen_now
from scheduling.forms.counter_forms import BookingForm, LastDayForm, QuestionForm
from scheduling.queries.after_return import after_return
from scheduling.queries.booking_details import (
    bookings_of,
    changes_of,
    hand_overs_of,
    overrides_of,
    struck_hand_overs,
)
from scheduling.queries.late_returns import late_of
from scheduling.queries.machine_list import machines_with_state
from scheduling.queries.may_go_out import Days, may_go_between
from scheduling.queries.open_classes import room_beside
from scheduling.queries.slip import attachments_with
from scheduling.queries.which_instead import which_instead
from scheduling.views.correct_hand_over_page import may_put_right


def day_in(machine: Machine, now: datetime) -> date:
    """Return the day that it is in a machine's yard."""
    return now.astimezone(machine.yard.zone).date()


def refuse(form: Form, no: Refusal) -> None:
    """Show a refusal at the field where it belongs, or above the form."""
    form.add_error(no.field if no.field in form.fields else None, no.sentence)


@roles(Role.DESK)
@led_by_tag
@require_http_methods(["GET", "HEAD", "POST"])
def book(request: HttpRequest, tag: str) -> HttpResponse:
    """Book one machine; what stands against it is said before anything is typed."""
    person, now = signed_in(request), timezone.now()
    machine = get_object_or_404(machines_with_state(person), tag=tag)
    today = day_in(machine, now)
    days, hours = _asked_days(request, today, now)
    hire = hire_numbered(person, request.GET.get("hire", ""))
    if request.method == "POST":
        form = BookingForm(request.POST, today=today, hire=hire)
        if form.is_valid():
            try:
                booking = book_unless_blocked(
                    _new(machine, form), Decision(person, now, _reason(form))
                )
            except Refusal as no:
                refuse(form, no)
            else:
                messages.success(request, f"{machine.tag} is booked for {booking.customer}.")
                goes_now = request.POST.get("then") == "out" and booking.first_day <= today
                return redirect("check-out" if goes_now else "booking", booking.pk)
        days = _typed_days(form, days)
        hours = form.cleaned_data.get("hours_a_day", hours)
    else:
        initial = _initial(machine, days) | {"hours_a_day": hours}
        form = BookingForm(today=today, initial=initial, hire=hire)
    answer = may_go_between(machine, days, today, hours_a_day=hours)
    room = None if answer.final else room_beside(machine, days, today)
    asks = answer.needs_reason or (room is not None and not room.left)
    form.fields["reason"].required = asks  # for the page: what was sent is judged
    context = {
        "machine": machine,
        "form": form,
        "answer": answer,
        "today": today,
        "said": answer.days.said(today),
        "choices": []
        if answer.yes
        else which_instead(
            machine, answer.days, today, among=machines_of(person), hours_a_day=hours
        ),
        "hire": hire,
        "room": room,
        "asks": asks,
    }
    return render(request, "scheduling/counter_book.html", context)


def _asked_days(request: HttpRequest, today: date, now: datetime) -> tuple[Days, float | None]:
    """Return days and use a day of the address, or today where it gives none that make sense."""
    form = QuestionForm({**request.GET.dict(), "machine_class": ""}, person=signed_in(request),
                        today=today)  # fmt: skip
    form.is_valid()
    typed = form.cleaned_data
    first = typed.get("first_day") or today
    last = max(first, typed.get("last_day") or first)
    times = {name: typed.get(name) for name in ("from_time", "to_time")}
    return Days(first, last, now=now, **times), typed.get("hours_a_day")


def _typed_days(form: BookingForm, before: Days) -> Days:
    """Return the days and times that were typed, as far as they make sense."""
    typed = form.cleaned_data
    first = typed.get("first_day", before.first)
    last = max(first, typed.get("last_day", before.last))
    times = {name: typed.get(name) for name in ("from_time", "to_time")}
    return Days(first, last, now=before.now, **times)


def _initial(machine: Machine, days: Days) -> dict[str, Any]:
    first, last = days.first, days.last
    rate = machine.price_a_day
    value = rate * ((last - first).days + 1) if rate else None
    return {
        "first_day": first, "last_day": last, "value": value, "form_key": token_hex(10),
        "from_time": days.from_time, "to_time": days.to_time,
    }  # fmt: skip


def _new(machine: Machine, form: BookingForm) -> NewBooking:
    typed = form.cleaned_data
    return NewBooking(
        machine,
        typed["first_day"],
        typed["last_day"],
        form.hire.who if form.hire else typed["customer"].strip(),
        typed["value"],
        typed["form_key"],
        hire=form.hire,
        who=form.who(),
        from_time=typed["from_time"],
        to_time=typed["to_time"],
        hours_a_day=typed["hours_a_day"],
    )


def _reason(form: Form) -> str:
    return str(form.cleaned_data.get("reason", "")).strip()


@roles(Role.DESK)
@require_safe
def booking(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one booking; the address may bring another last day to be looked at."""
    row, now = _mine(request, pk), timezone.now()
    asked = LastDayForm(request.GET)
    asked.is_valid()
    day = asked.cleaned_data.get("last_day")
    return _page(request, row, now, LastDayForm(initial={"last_day": day}) if day else None)


@roles(Role.DESK)
@require_POST
def last_day(request: HttpRequest, pk: int) -> HttpResponse:
    """Move a booking's last day."""
    row, now = _mine(request, pk), timezone.now()
    form = LastDayForm(request.POST)
    if form.is_valid():
        try:
            prolong_unless_blocked(
                row, form.cleaned_data["last_day"], Decision(signed_in(request), now, _reason(form))
            )
        except Refusal as no:
            if row.cancelled_at or HandOver.Direction.BACK in hand_overs_of(row):
                messages.error(request, no.sentence)  # its page has no form any more to say it at
                return redirect("booking", pk)
            refuse(form, no)
        else:
            messages.success(request, "The last day is moved.")
            return redirect("booking", pk)
    return _page(request, row, now, form)


@roles(Role.DESK)
@require_POST
def off(request: HttpRequest, pk: int) -> HttpResponse:
    """Call a booking off."""
    row, now = _mine(request, pk), timezone.now()
    try:
        call_off(row, by=signed_in(request), now=now)
    except Refusal as no:
        messages.error(request, no.sentence)
    else:
        messages.success(request, f"The booking of {row.customer} is called off.")
    return redirect("booking", pk)


def _mine(request: HttpRequest, pk: int) -> Booking:
    return get_object_or_404(bookings_of(signed_in(request)), pk=pk)


def _just_back(row: Booking, now: datetime) -> bool:
    """Whether its machine came back from it a moment ago, and went nowhere since."""
    came = just_back(row.machine, now)
    return came is not None and came.booking == row.pk


def _page(
    request: HttpRequest, row: Booking, now: datetime, form: LastDayForm | None = None
) -> HttpResponse:
    today = day_in(row.machine, now)
    person = signed_in(request)
    handed = hand_overs_of(row)
    out, back = handed.get(HandOver.Direction.OUT), handed.get(HandOver.Direction.BACK)
    open_ = not (row.cancelled_at or back)
    left = left_of(row, today, now)
    answer = None
    if open_ and left.first <= left.last:
        answer = may_go_between(row.machine, left, today, but=row)
    context = {
        "booking": row,
        "machine": row.machine,
        "yard": row.machine.yard,
        "today": today,
        "out": out,
        "back": back,
        "open": open_,
        "again": back is not None and _just_back(row, now),
        "late": bool(out) and open_ and due_back(row.days, row.machine.yard.zone) <= now,
        "answer": answer,
        "not_here": late_of(row.machine, now) if open_ and not out else None,
        "changes": changes_of(row),
        "struck": struck_hand_overs(row),
        "logged": changes_to(row),
        "last_act": last_act(person, now, row.machine),
        "may_out": out is not None and may_put_right(person, out, now),
        "may_back": back is not None and may_put_right(person, back, now),
        "overrides": overrides_of(row),
        "manages": person.manages,
        "after": after_return(out, back, row.machine, today) if out and back else None,
        "form": form or LastDayForm(initial={"last_day": max(row.last_day, today)}),
        "seen": seen_now(row),
        "attachments": attachments_with(row),
    }
    if open_:
        context["change"] = CorrectBookingForm(None, row, person, auto_id="change_%s")
    return render(request, "scheduling/booking.html", context)


paths = [
    path("counter/book/<str:tag>/", book, name="counter-book"),
    path("counter/bookings/<int:pk>/", booking, name="booking"),
    path("counter/bookings/<int:pk>/last-day/", last_day, name="booking-last-day"),
    path("counter/bookings/<int:pk>/off/", off, name="booking-off"),
]
