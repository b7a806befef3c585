"""What was said of work left under way, taken back: it was other work, or a slip of minutes."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from fleet.access import roles, signed_in
from fleet.actions.lay_down_work import take_back_progress
from fleet.may_correct import may_correct, written_on
from fleet.models import Role
from fleet.queries.mine import day_of
from fleet.queries.under_way import words_within
from scheduling.views.bench_page import asked_day


@roles(Role.MECHANIC)
@require_POST
def take_back(request: HttpRequest, number: int) -> HttpResponse:
    """Take back how far work has come; it stays on record, and the word before counts again."""
    person, now = signed_in(request), timezone.now()
    today = day_of(person, now)
    row = get_object_or_404(words_within(person, today), pk=number)
    machine = row.machine
    if not may_correct(person, written_on(machine, row.by_id, row.at, Role.MECHANIC), now):
        raise PermissionDenied
    take_back_progress(row, why=f"taken back by {person} on the sheet", by=person, now=now)
    messages.success(request, f"{machine.tag}: taken back; it stays on record.")
    return redirect(f"{reverse('job', args=[machine.tag])}?day={asked_day(request, today)}")


paths = [path("bench/left/<int:number>/take-back/", take_back, name="left-work-take-back")]
