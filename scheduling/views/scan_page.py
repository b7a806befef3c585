"""What a label's code leads to: read the meter, see what is needed, say what is wrong."""

from dataclasses import dataclass
from datetime import date, datetime
from secrets import token_hex
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from fleet.access import roles, signed_in
from fleet.actions.note_findings import holds_of
from fleet.actions.photograph_findings import note_with_photo
from fleet.forms.round_forms import RoundLine, RoundTerms, answered_line
from fleet.forms.wrong_form import WrongForm
from fleet.from_phone import pressed_at
from fleet.models import Finding, Machine, Person, Role
from fleet.queries.last_act import last_act
from fleet.queries.occasion_services import OccasionService, occasion_services
from fleet.queries.rounds import dials_of_machines
from fleet.refusal import Refusal
from scheduling.queries.scan_needs import scan_needs, scanned, stays_as


def _scanned(person: Person, pk: int) -> Machine:
    found = scanned(person, pk)
    if found is None:
        raise Http404("There is no such machine in your yards.")
    return found


@roles(Role.DESK, Role.MECHANIC, Role.HAND)
@require_http_methods(["GET", "HEAD", "POST"])
def scan(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a machine to somebody who stands before it; take what its meters show.

    The number on a label outlives every tag; one that was merged into another leads to that one.
    """
    person = signed_in(request)
    found = _scanned(person, pk)
    if stays := stays_as(person, found):
        return redirect("scan", stays)
    now = timezone.now()
    lines = _lines(found, RoundTerms(person, now, request.POST, pressed_at(request, now)))
    if request.method == "POST" and lines and all(line.tone != "error" for line in lines):
        for line in lines:
            if line.sentence:
                messages.success(request, line.sentence)
        return redirect("scan", pk)
    return _page(request, _Shown(found, lines, WrongForm(token_hex(8)), now))


@roles(Role.DESK, Role.MECHANIC, Role.HAND)
@require_POST
def wrong(request: HttpRequest, pk: int) -> HttpResponse:
    """Note what is wrong; what is not safe holds the machine at once."""
    person, now = signed_in(request), timezone.now()
    found = _scanned(person, pk)
    form = WrongForm(token_hex(8), request.POST, request.FILES)
    if not form.is_valid() or not (noted := _noted(request, form, found, now)):
        lines = _lines(found, RoundTerms(person, now, QueryDict()))
        return _page(request, _Shown(found, lines, form, now))
    messages.success(request, f"Noted on {found.tag}: {noted.text}.")
    if holds_of(noted):
        messages.warning(request, f"{found.tag} is held: nobody takes it out until it is released.")
    return redirect("scan", pk)


def _noted(
    request: HttpRequest, form: WrongForm, machine: Machine, now: datetime
) -> Finding | None:
    """Note it with its photo; None where the photo is none, which the form then says."""
    photo, by = form.cleaned_data["photo"], signed_in(request)
    new = form.finding(machine, pressed_at(request, now))
    try:
        return note_with_photo(new, photo.read() if photo else None, by=by, now=now)
    except Refusal as no:
        form.add_error("photo", no.sentence)
        return None


@dataclass(frozen=True)
class _Shown:
    """What the page is made of."""

    machine: Machine
    lines: list[RoundLine]
    form: WrongForm
    now: datetime


def _lines(machine: Machine, terms: RoundTerms) -> list[RoundLine]:
    dials = dials_of_machines(terms.by, [machine.pk])
    return [answered_line(dial, terms) for dial in dials]


def _page(request: HttpRequest, shown: _Shown) -> HttpResponse:
    person, machine = signed_in(request), shown.machine
    today = shown.now.astimezone(machine.yard.zone).date()
    context: dict[str, Any] = {
        "machine": machine,
        "yard": machine.yard,
        "today": today,
        "now": getattr(machine, "now", None),
        "lines": shown.lines,
        "needs": scan_needs(machine, today, for_hand=person.role == Role.HAND),
        "hand": person.role == Role.HAND,
        "occasions": _occasions(person, machine, today),
        "may_work": person.manages or person.role == Role.MECHANIC,
        "form": shown.form,
        "key": token_hex(8),
        "repairs": person.manages or person.role == Role.MECHANIC,
        "rents": person.manages or person.role == Role.DESK,
        "last_act": last_act(person, shown.now, machine),
    }
    return render(request, "scheduling/scan.html", context)


def _occasions(person: Person, machine: Machine, today: date) -> list[OccasionService]:
    """Return what is done on an occasion; a hand does none of it."""
    if person.role == Role.HAND or machine.retired_on is not None:
        return []
    return occasion_services(machine, today)


paths = [
    path("scan/<int:pk>/", scan, name="scan"),
    path("scan/<int:pk>/wrong/", wrong, name="scan-wrong"),
]
