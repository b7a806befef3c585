"""A service is put on a job sheet that is neither planned nor nearly due."""

import uuid

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from fleet.access import roles, signed_in
from fleet.actions.keep_sheet_entries import is_spent, keep_typed
from fleet.models import Role
from fleet.queries.mine import day_of
from fleet.queries.who_works import machines_at_work
from fleet.todays_tag import led_by_tag
from fleet.work_keys import service_key
from scheduling.forms.job_form import JobForm
from scheduling.queries.added_work import with_added
from scheduling.queries.job_sheet import job_sheet
from scheduling.views.bench_page import asked_day


@roles(Role.MECHANIC)
@led_by_tag
@require_POST
def add_work(request: HttpRequest, tag: str) -> HttpResponse:
    """Put a service on the sheet, ticked; all that is typed on the sheet stays on it."""
    person, now = signed_in(request), timezone.now()
    today = day_of(person, now)
    day = asked_day(request, today)
    sheet = job_sheet(machines_at_work(person, day), tag, day, today)
    if sheet is None:
        raise Http404(f"No machine {tag} in your shop.")
    text = request.POST.get("service", "")
    key = service_key(sheet.machine.pk, int(text)) if text.isdecimal() and len(text) < 10 else ""
    on_it = with_added(sheet, [*request.POST.getlist("added"), key])
    if on_it.find(key) is None:
        messages.error(request, "The make-up does not have that service; choose another one.")
    else:
        form = JobForm(on_it, request.POST, person)
        typed = form.changed_typing() | {f"added={key}": "on", f"done={key}": "on"}
        number = request.POST.get("form_key", "")[:32]
        if not number or is_spent(number, person):
            number = uuid.uuid4().hex
        keep_typed(sheet.machine, number, typed, by=person, now=now)
    asked = request.POST.get("asked", "")
    also = (
        f"&also={asked}" if asked.isdecimal() else ""
    )  # of an occasion, it stays on the sheet too
    return redirect(f"{reverse('job', args=[sheet.machine.tag])}?day={day}{also}")


paths = [path("bench/<str:tag>/add/", add_work, name="add-work")]
