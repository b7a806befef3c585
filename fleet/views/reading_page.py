"""One reading: who took it and how, and the way to put it right or strike it out."""

from datetime import datetime

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from fleet.access import roles, signed_in
from fleet.forms.correction_form import as_it_stands, put_right
from fleet.may_correct import may_correct, written_on
from fleet.models import Person, Reading, Role, Source
from fleet.queries.own_facts import changes_to
from fleet.queries.own_readings import readings_of

WORK_OF = {Source.COUNTER: (Role.DESK,), Source.BENCH: (Role.MECHANIC,), Source.ROUND: ()}
"""Whose work a reading is, by where it came from; of files and feeds it is everybody's."""


def _may(person: Person, found: Reading, now: datetime) -> bool:
    work_of = WORK_OF.get(Source(found.source), (Role.DESK, Role.MECHANIC))
    fact = written_on(found.meter.machine, found.read_by_id, found.entered_at, *work_of)
    return may_correct(person, fact, now)


@roles(Role.DESK, Role.MECHANIC, Role.HAND)
@require_http_methods(["GET", "HEAD", "POST"])
def reading(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a reading; put it right by a new one."""
    person, now = signed_in(request), timezone.now()
    found = get_object_or_404(readings_of(person), pk=pk)
    form = as_it_stands(found)
    may = _may(person, found, now)
    if request.method == "POST":
        if not may:
            raise PermissionDenied
        form = put_right(found, request.POST, person, now)
        if not form.sentence:
            messages.success(request, "The reading is put right; the old one stays on record.")
            if person.role == Role.HAND:
                return redirect("scan", found.meter.machine_id)
            return redirect("machine", found.meter.machine.tag)
    machine = found.meter.machine
    context = {
        "form": form,
        "hand": person.role == Role.HAND,
        "may": may,
        "changes": changes_to(found),
        "reading": found,
        "machine": machine,
        "later": getattr(found, "corrected_by", None),
        "yard": machine.yard,
        "today": now.astimezone(machine.yard.zone).date(),
    }
    return render(request, "fleet/reading.html", context)


paths = [path("readings/<int:pk>/", reading, name="reading")]
