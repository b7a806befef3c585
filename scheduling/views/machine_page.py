"""One machine: how it stands, what comes, what was done to it; printable as its history."""

from datetime import timedelta

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone

from fleet.access import signed_in
from fleet.identity import serial_warning
from fleet.models import Machine, Role
from fleet.queries.costs import cost_of
from fleet.queries.decided_on import decided_on
from fleet.queries.last_act import last_act
from fleet.queries.logged_changes import changes_on
from fleet.queries.machine_history import history
from fleet.queries.mine import looks_only
from fleet.queries.occasion_services import occasion_services
from fleet.queries.open_holds import seen_by
from fleet.todays_tag import led_by_tag
from scheduling.forms.chance_day_form import ChanceDay
from scheduling.queries.machine_list import machine_looked_at, machine_with_state
from scheduling.queries.machine_outlook import outlook

A_YEAR = timedelta(days=365)


@led_by_tag
def machine(request: HttpRequest, tag: str) -> HttpResponse:
    """Show a machine; ?book=all shows its whole book, ?by=DAY the chances by a day."""
    person = signed_in(request)
    found = machine_with_state(person, tag) or machine_looked_at(person, tag)
    if found is None:
        raise Http404(f"There is no machine {tag} in your yards.")
    only_looks = looks_only(person, found.yard.shop)
    now = timezone.now()
    today = now.astimezone(found.yard.zone).date()
    chance_day = ChanceDay(request.GET if "by" in request.GET else None, today)
    may_work = person.manages or person.role == Role.MECHANIC
    known = history(found, today, request.GET.get("book") == "all")
    context = {
        "machine": found,
        "makeup": found.makeup,
        "yard": found.yard,
        "units": found.yard.units,
        "today": today,
        "now": getattr(found, "now", None),
        "changes": changes_on(found),
        "overrides": decided_on(found),
        "held": seen_by(signed_in(request), known.open_holds, now),
        "history": known,
        "outlook": outlook(found, now, chance_day.chosen()),
        "chance_day": chance_day,
        "cost": cost_of(found, now - A_YEAR),
        "looks_only": only_looks,
        "may_change": person.manages and not only_looks,
        "may_work": may_work and not only_looks,
        "occasions": [] if found.retired_on or only_looks else occasion_services(found, today),
        "serial_warning": _serial_warning(found),
        "last_act": last_act(signed_in(request), now, found),
    }
    return render(request, "scheduling/machine.html", context)


def _serial_warning(machine: Machine) -> str:
    road = machine.makeup.machine_class.road_vehicle
    return serial_warning(machine.serial, road_vehicle=road, year=machine.year)


paths = [path("machines/<path:tag>/", machine, name="machine")]
