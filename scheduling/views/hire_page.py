"""A booking as the customer made it: all its machines, each for itself, and more added to it."""

from collections import Counter
from datetime import date, datetime, timedelta
from secrets import token_hex
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from fleet.access import roles, signed_in
from fleet.actions.correct_customers import correct_hire
from fleet.actions.make_bookings import NewBooking
from fleet.models import Hire, Machine, MachineClass, Person, Role, Yard
from fleet.queries.customer_list import hires_of
from fleet.queries.mine import day_of, home_shop, machines_of
from fleet.queries.own_facts import changes_to
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import Decision, book_unless_blocked
from scheduling.availability.answer import Availability
from scheduling.availability.counter_facts import Days
from scheduling.forms.counter_forms import TimedDaysForm, asked_days
from scheduling.forms.customer_forms import HireForm, MoreForm
from scheduling.queries.hire_lines import HireOverview, hire_overview, usual_value
from scheduling.queries.may_go_out import which_may
from scheduling.queries.open_classes import ClassRoom, bookable, promised_of
from scheduling.views.booking_pages import refuse
from scheduling.views.counter_page import as_query

TIMES = ("from_time", "to_time")


@roles(Role.DESK)
@require_safe
def hire(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one hire; which machines of a class may be added to it, where a class is asked for."""
    row = _mine(request, pk)
    return _page(request, row, HireForm(None, row), timezone.now())


@roles(Role.DESK)
@require_POST
def correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Put site, purpose and notes right."""
    row, now = _mine(request, pk), timezone.now()
    form = HireForm(request.POST, row)
    if form.is_valid():
        try:
            correct_hire(row, form.cleaned_data, by=signed_in(request), now=now)
        except Refusal as no:
            refuse(form, no)
        else:
            messages.success(request, "The booking is put right; what it said stays on record.")
            return redirect("hire", pk)
    return _page(request, row, form, now)


@roles(Role.DESK)
@require_POST
def add(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a machine that may go out to the hire, by one press."""
    row, now, person = _mine(request, pk), timezone.now(), signed_in(request)
    machine = get_object_or_404(machines_of(person), tag=request.POST.get("tag", ""))
    form = TimedDaysForm(request.POST, today=now.astimezone(machine.yard.zone).date())
    if not form.is_valid():
        messages.error(request, " ".join(str(e[0]) for e in form.errors.values()))
        return redirect("hire", pk)
    try:
        book_unless_blocked(_new(row, machine, form, request), Decision(person, now))
    except Refusal as no:
        messages.error(request, no.sentence)
    else:
        messages.success(request, f"{machine.tag} is booked for {row.who} too.")
    return redirect("hire", pk)


def _new(row: Hire, machine: Machine, form: TimedDaysForm, request: HttpRequest) -> NewBooking:
    first, last = form.cleaned_data["first_day"], form.cleaned_data["last_day"]
    key = request.POST.get("form_key", "")[:20] or token_hex(10)
    value = usual_value(machine, first, last)
    return NewBooking(
        machine, first, last, row.who, value, f"{key}-{machine.pk}", hire=row,
        from_time=form.cleaned_data["from_time"], to_time=form.cleaned_data["to_time"],
    )  # fmt: skip


def _mine(request: HttpRequest, pk: int) -> Hire:
    return get_object_or_404(hires_of(signed_in(request)), pk=pk)


def _page(request: HttpRequest, row: Hire, form: HireForm, now: datetime) -> HttpResponse:
    person = signed_in(request)
    today = day_of(person, now)
    seen = hire_overview(row, person, now)
    more = MoreForm(request.GET, person=person, today=today, initial=_usual_days(seen, today))
    context: dict[str, Any] = {
        "hire": row,
        "seen": seen,
        "today": today,
        "place": home_shop(person),
        "form": form,
        "more": more,
        "logged": changes_to(row),
        "form_key": token_hex(8),
    }
    if more.is_bound and more.is_valid():
        context |= _offered(more, person, today, now)
    return render(request, "scheduling/hire.html", context)


def _usual_days(seen: HireOverview, today: date) -> dict[str, date]:
    """Offer the days of what is on the hire already."""
    days = [(one.booking.first_day, one.booking.last_day) for one in seen.lines if one.open]
    first, last = max(days, default=(today, today + timedelta(days=3)))
    first = max(first, today)
    return {"first_day": first, "last_day": max(first, last)}


def _offered(more: MoreForm, person: Person, today: date, now: datetime) -> dict[str, Any]:
    asked = more.cleaned_data
    days = asked_days(asked, now)
    answers = which_may(
        asked["machine_class"], days, today, among=machines_of(person), yard=asked["yard"]
    )
    return {
        "asked": asked,
        "times": {name: f"{at:%H:%M}" for name in TIMES if (at := asked[name]) is not None},
        "query": as_query(days, None),
        "said": days.said(today),
        "yes": bookable(answers),
        "maybe": [one for one in answers if one.needs_reason],
        "number": len(answers),
        "yards": _rooms(answers, asked["machine_class"], days),
    }


def _rooms(
    answers: list[Availability], machine_class: MachineClass, days: Days
) -> list[tuple[Yard, ClassRoom]]:
    """Return by yard how many machines of the class are left to promise."""
    yards = {one.machine.yard_id: one.machine.yard for one in answers}
    may = Counter(one.machine.yard_id for one in bookable(answers))
    return [
        (yard, ClassRoom(may[pk], promised_of(machine_class, days, yard)))
        for pk, yard in yards.items()
    ]


paths = [
    path("counter/hires/<int:pk>/", hire, name="hire"),
    path("counter/hires/<int:pk>/correct/", correct, name="hire-correct"),
    path("counter/hires/<int:pk>/add/", add, name="hire-add"),
]
