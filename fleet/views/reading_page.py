"""One reading: who took it and how, and the way to put it right or strike it out."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from fleet.access import roles, signed_in
from fleet.forms.correction_form import as_it_stands, put_right
from fleet.models import Role
from fleet.queries.own_readings import readings_of


@roles(Role.DESK, Role.MECHANIC)
@require_http_methods(["GET", "HEAD", "POST"])
def reading(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a reading; put it right by a new one."""
    person, now = signed_in(request), timezone.now()
    found = get_object_or_404(readings_of(person), pk=pk)
    form = as_it_stands(found)
    if request.method == "POST":
        form = put_right(found, request.POST, person, now)
        if not form.sentence:
            messages.success(request, "The reading is put right; the old one stays on record.")
            return redirect("machine", found.meter.machine.tag)
    machine = found.meter.machine
    context = {
        "form": form,
        "reading": found,
        "machine": machine,
        "later": getattr(found, "corrected_by", None),
        "today": now.astimezone(machine.yard.zone).date(),
    }
    return render(request, "fleet/reading.html", context)


paths = [path("readings/<int:pk>/", reading, name="reading")]
