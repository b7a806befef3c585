"""Find: one box for a name, a telephone number, a tag, a site or a booking's number."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_safe

from fleet.access import roles, signed_in
from fleet.models import Role
from fleet.queries.find_things import FoundThings, find_things
from fleet.queries.mine import day_of
from fleet.saying import counted


@roles(Role.DESK)
@require_safe
def find(request: HttpRequest) -> HttpResponse:
    """Show what is found of what the box says."""
    person, now = signed_in(request), timezone.now()
    today = day_of(person, now)
    found = find_things(person, request.GET.get("q", ""), today)
    context = {"found": found, "today": today, "sentence": _sentence(found)}
    return render(request, "scheduling/find.html", context)


def _sentence(found: FoundThings) -> str:
    if not found.sought:
        return "Write a name, a telephone number, a tag, a site or a booking's number."
    counts = [
        (len(found.customers), "customers" in found.more, "customer"),
        (found.bookings, bool({"coming", "past"} & found.more), "booking"),
        (len(found.machines), "machines" in found.more, "machine"),
    ]
    said = [
        f"{'more than ' if more else ''}{counted(number, one)}"
        for number, more, one in counts
        if number
    ]
    if not said:
        return f"Nothing here is called {found.sought}."
    return f"{', '.join(said)} found."


paths = [path("counter/find/", find, name="find")]
