"""What a label's code leads to: read the meter, see what is needed, say what is wrong."""

from secrets import token_hex
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from fleet.access import roles, signed_in
from fleet.actions.note_findings import holds_of, note_finding
from fleet.forms.round_forms import RoundLine, RoundTerms, answered_line
from fleet.forms.wrong_form import WrongForm
from fleet.models import Machine, Person, Role
from fleet.queries.last_act import last_act
from fleet.queries.mine import machines_of
from fleet.queries.rounds import dials_of_machines
from scheduling.queries.machine_list import machines_with_state
from scheduling.queries.scan_needs import scan_needs


def _scanned(person: Person, pk: int) -> Machine:
    return get_object_or_404(machines_with_state(person), pk=pk)


@roles(Role.DESK, Role.MECHANIC)
@require_http_methods(["GET", "HEAD", "POST"])
def scan(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a machine to somebody who stands before it; take what its meters show.

    The number on a label outlives every tag; one that was merged into another leads to that one.
    """
    person = signed_in(request)
    found = _scanned(person, pk)
    if found.merged_into_id and machines_of(person).filter(pk=found.merged_into_id).exists():
        return redirect("scan", found.merged_into_id)
    lines = _lines(person, found, request)
    if request.method == "POST" and lines and all(line.tone != "error" for line in lines):
        for line in lines:
            if line.sentence:
                messages.success(request, line.sentence)
        return redirect("scan", pk)
    return _page(request, found, lines, WrongForm(token_hex(8)))


@roles(Role.DESK, Role.MECHANIC)
@require_POST
def wrong(request: HttpRequest, pk: int) -> HttpResponse:
    """Note what is wrong; what is not safe holds the machine at once."""
    person = signed_in(request)
    found = _scanned(person, pk)
    form = WrongForm(token_hex(8), request.POST)
    if not form.is_valid():
        return _page(request, found, _lines(person, found, None), form)
    noted = note_finding(form.finding(found), by=person, now=timezone.now())
    messages.success(request, f"Noted on {found.tag}: {noted.text}.")
    if holds_of(noted):
        messages.warning(request, f"{found.tag} is held: nobody takes it out until it is released.")
    return redirect("scan", pk)


def _lines(person: Person, machine: Machine, request: HttpRequest | None) -> list[RoundLine]:
    dials = dials_of_machines(person, [machine.pk])
    if request is None:
        return [RoundLine(dial) for dial in dials]
    terms = RoundTerms(person, timezone.now(), request.POST)
    return [answered_line(dial, terms) for dial in dials]


def _page(
    request: HttpRequest, machine: Machine, lines: list[RoundLine], form: WrongForm
) -> HttpResponse:
    person, now = signed_in(request), timezone.now()
    today = now.astimezone(machine.yard.zone).date()
    context: dict[str, Any] = {
        "machine": machine,
        "yard": machine.yard,
        "today": today,
        "now": getattr(machine, "now", None),
        "lines": lines,
        "needs": scan_needs(machine, today),
        "form": form,
        "key": token_hex(8),
        "repairs": person.manages or person.role == Role.MECHANIC,
        "rents": person.manages or person.role == Role.DESK,
        "last_act": last_act(person, now, machine),
    }
    return render(request, "scheduling/scan.html", context)


paths = [
    path("scan/<int:pk>/", scan, name="scan"),
    path("scan/<int:pk>/wrong/", wrong, name="scan-wrong"),
]
