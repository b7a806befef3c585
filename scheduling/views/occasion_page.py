"""Before hire, return, into and out of storage: the shop is asked to do it."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import path
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from fleet.access import roles, signed_in
from fleet.actions.ask_on_occasion import ask_on_occasion
from fleet.models import Role
from fleet.queries.occasion_services import occasion_services
from fleet.todays_tag import led_by_tag
from scheduling.queries.machine_list import machine_with_state


@roles(Role.DESK, Role.MECHANIC)
@led_by_tag
@require_POST
def ask_for(request: HttpRequest, tag: str) -> HttpResponse:
    """Ask the shop for a service of an occasion, and lead back to where it was asked."""
    person, now = signed_in(request), timezone.now()
    machine = machine_with_state(person, tag)
    if machine is None or machine.retired_on is not None:
        raise Http404(f"There is no machine {tag} at work in your yards.")
    today = now.astimezone(machine.yard.zone).date()
    offered = occasion_services(machine, today)
    wanted = request.POST.get("service", "")
    chosen = next((one for one in offered if str(one.service.pk) == wanted), None)
    if chosen is None:
        messages.error(request, "That is not done to this machine.")
        return redirect(machine.get_absolute_url())
    ask_on_occasion(machine, chosen, by=person, now=now)
    messages.success(
        request, f"{machine.tag}: the shop is asked for it, and plans it at the next run."
    )
    back = request.POST.get("back", "")
    inside = url_has_allowed_host_and_scheme(back, allowed_hosts=None)
    return redirect(back if inside and back.startswith("/") else machine.get_absolute_url())


paths = [path("machines/<str:tag>/ask-for/", ask_for, name="ask-on-occasion")]
