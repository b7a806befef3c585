"""The calendar of bookings and blocks, a line a machine."""

from datetime import date, timedelta
from urllib.parse import urlencode

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_safe

from fleet.access import roles, signed_in
from fleet.models import Role
from fleet.queries.mine import day_of
from scheduling.availability.counter_facts import Days
from scheduling.forms.booking_calendar_form import CalendarForm
from scheduling.queries.calendar_grid import calendar_lines
from scheduling.queries.machine_list import by_class, machines_on_lines, narrowed

A_PAGE = 600
"""Machines on one scroll of the calendar; no yard has so many, a whole fleet may."""
LONG = 8
"""Weeks from which on single days are too narrow to be named at the head."""


@roles(Role.DESK)
@require_safe
def booking_calendar(request: HttpRequest) -> HttpResponse:
    """Show one to 26 weeks, or one day where it is narrow; what is shown stands in the address."""
    person = signed_in(request)
    now = timezone.now()
    today = day_of(person, now)
    form = CalendarForm(request.GET, person=person, today=today)
    days = form.days()
    mine = machines_on_lines(person)
    found = by_class(narrowed(mine, form.narrowing(), promised_from=today))
    page = Paginator(found, A_PAGE).get_page(request.GET.get("page"))
    lines = calendar_lines(page.object_list, days, today, now)
    context = {
        "form": form,
        "lines": lines,
        "page": page,
        "days": days,
        "said": days.said(today),
        "dates": _dates(days),
        "weeks": _dates(days)[::7],
        "long": len(_dates(days)) > 7 * LONG,
        "today": today,
        "free": sum(not any(cell.entries for cell in line.cells) for line in lines),
        "earlier": _moved(request, days, -_length(days)),
        "later": _moved(request, days, _length(days)),
        "day_before": _moved(request, days, -1),
        "day_after": _moved(request, days, 1),
        "now": _address(request, first_day=None),
        "turned": _address(request, page=None),
    }
    return render(request, "scheduling/counter_calendar.html", context)


def _length(days: Days) -> int:
    return (days.last - days.first).days + 1


def _dates(days: Days) -> list[date]:
    return [days.first + timedelta(days=n) for n in range(_length(days))]


def _moved(request: HttpRequest, days: Days, by: int) -> str:
    """Return the address of this page so many days on, or back."""
    first = days.first + timedelta(days=by)
    return _address(request, first_day=first.isoformat(), page=None)


def _address(request: HttpRequest, **change: str | None) -> str:
    """Return the query of this page with some of it changed; None takes a value away."""
    wanted = {**request.GET.dict(), **change}
    return urlencode({name: value for name, value in wanted.items() if value})


paths = [path("counter/calendar/", booking_calendar, name="counter-calendar")]
