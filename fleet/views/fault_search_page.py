"""Fault finding: two presses from the machine's page to the first check."""

from datetime import datetime
from secrets import token_hex
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from fleet.access import roles, signed_in
from fleet.actions.find_faults import begin_search, note_fault, note_outcome
from fleet.forms.fault_form import FaultForm
from fleet.models import FaultSearch, Role
from fleet.procedures.fault_library import causes
from fleet.queries.fault_cases import parts_for, past_repairs, search_now, searches_of, symptoms_of
from fleet.queries.mine import day_of, machine_of
from fleet.queries.warned_of import caution_called
from fleet.refusal import Refusal


@roles(Role.MECHANIC)
@require_http_methods(["GET", "HEAD", "POST"])
def faults(request: HttpRequest, tag: str) -> HttpResponse:
    """Ask what is seen or heard on a machine; a press on it begins the search."""
    person, now = signed_in(request), timezone.now()
    machine = machine_of(person, tag)
    if machine is None:
        raise Http404
    if request.method == "POST":
        key = request.POST.get("form_key", "")[:40] or token_hex(8)
        try:
            made = begin_search(machine, request.POST.get("symptom", ""), key, by=person, now=now)
        except Refusal as no:
            messages.error(request, no.sentence)
            return redirect("faults", machine.tag)
        return redirect("fault", made.pk)
    context = {
        "machine": machine,
        "symptoms": symptoms_of(machine),
        "form_key": token_hex(8),
        "past": past_repairs(machine),
        "today": day_of(person, now),
    }
    return render(request, "fleet/faults.html", context)


@roles(Role.MECHANIC)
@require_http_methods(["GET", "HEAD", "POST"])
def fault(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the check to do now with its answers; take an answer."""
    person, now = signed_in(request), timezone.now()
    search = get_object_or_404(searches_of(person), pk=pk)
    if request.method == "POST":
        check, _, outcome = request.POST.get("answer", "").partition(":")
        try:
            note_outcome(search, check, outcome, by=person, now=now)
        except Refusal as no:
            messages.error(request, no.sentence)
        return redirect("fault", pk)
    return _page(request, search, now)


@roles(Role.MECHANIC)
@require_POST
def fault_found(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the cause as a finding or as work."""
    person, now = signed_in(request), timezone.now()
    search = get_object_or_404(searches_of(person), pk=pk)
    cause = causes().get(request.POST.get("cause", ""))
    form = FaultForm(search.machine, cause, data=request.POST)
    if not form.is_valid():
        return _page(request, search, now, form)
    try:
        found = note_fault(search, form.fault(), by=person, now=now)
    except Refusal as no:
        form.add_error(no.field if no.field in form.fields else None, no.sentence)
        return _page(request, search, now, form)
    messages.success(request, f"Noted on {search.machine.tag}: {found.finding}.")
    return redirect(f"{search.machine.get_absolute_url()}#findings")


def _page(
    request: HttpRequest, search: FaultSearch, at: datetime, form: FaultForm | None = None
) -> HttpResponse:
    now = search_now(search)
    context: dict[str, Any] = {
        "search": search,
        "machine": search.machine,
        "now": now,
        "form": form or FaultForm(search.machine, now.suspect),
        "parts": parts_for(search.machine, now.suspect) if now.suspect else [],
        "caution": caution_called(now.symptom.caution) if now.symptom else None,
        "past": past_repairs(search.machine, search.symptom),
        "today": day_of(signed_in(request), at),
    }
    return render(request, "fleet/fault.html", context)


paths = [
    path("machines/<str:tag>/fault/", faults, name="faults"),
    path("faults/<int:pk>/", fault, name="fault"),
    path("faults/<int:pk>/found/", fault_found, name="fault-found"),
]
