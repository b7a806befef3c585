"""One job at the bench: its sheet, finishing it, putting work off."""

from datetime import date, datetime

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from fleet.access import roles, signed_in
from fleet.actions.decide_work import put_off_all
from fleet.actions.lay_down_work import lay_down_all
from fleet.models import Person, Role
from fleet.queries.mine import day_of
from fleet.queries.open_holds import asked_for_release
from fleet.queries.who_works import machines_at_work
from fleet.refusal import Refusal
from fleet.saying import counted
from fleet.todays_tag import led_by_tag
from scheduling.actions.finish_job import MeterRefused, finish_job
from scheduling.forms.job_form import JobForm
from scheduling.forms.leave_form import LeaveForm
from scheduling.models import State
from scheduling.queries.job_sheet import (
    JobSheet,
    fetch_instructions,
    job_sheet,
    with_covered_beside,
)
from scheduling.views.bench_page import asked_day


def _sheet(person: Person, tag: str, day: date) -> JobSheet:
    sheet = job_sheet(machines_at_work(person, day), tag, day)
    if sheet is None:
        raise Http404(f"No machine {tag} in your shop.")
    return sheet


@roles(Role.MECHANIC)
@led_by_tag
def job(request: HttpRequest, tag: str) -> HttpResponse:
    """Show a job sheet, and write into the book what was done."""
    person, now = signed_in(request), timezone.now()
    today = day_of(person, now)
    day = asked_day(request, today)
    sheet = _sheet(person, tag, day)
    if request.method != "POST" or "also_shown" in request.POST:
        sheet = with_covered_beside(sheet)
    form = JobForm(sheet, request.POST if request.method == "POST" else None, person)
    if request.method == "POST" and form.is_valid() and _finish(request, form, now):
        return _after(person, sheet, day, now)
    context = {"sheet": fetch_instructions(sheet), "form": form, "today": today, "day": day}
    return render(request, "scheduling/job.html", context)


def _after(person: Person, sheet: JobSheet, day: date, now: datetime) -> HttpResponse:
    """Lead back to the bench, by way of the question whether a held machine is safe now."""
    state = getattr(sheet.machine, "now", None)
    held = state is not None and state.state == State.HELD
    if held and asked_for_release(person, sheet.machine, now):
        return redirect("safe-to-release", sheet.machine.tag)
    return redirect(f"{reverse('bench')}?day={day}")


def _finish(request: HttpRequest, form: JobForm, now: datetime) -> bool:
    """Write the job; say what was written, or put the refusal where it belongs."""
    finished = form.finished()
    if form.errors:
        return False
    try:
        records = finish_job(finished, by=signed_in(request), now=now)
    except MeterRefused as refused:
        form.refuse_reading(refused, now)
        return False
    except Refusal as refused:
        form.add_error(None, refused.sentence)
        return False
    entries = counted(len(records), "entry", "entries")
    messages.success(request, f"{finished.machine.tag}: {entries} in the book.")
    return True


@roles(Role.MECHANIC)
@led_by_tag
@require_POST
def put_off_work(request: HttpRequest, tag: str) -> HttpResponse:
    """Put ticked work off from a day, with the reason; the plan finds it another."""
    person, now = signed_in(request), timezone.now()
    day = asked_day(request, day_of(person, now))
    sheet = _sheet(person, tag, day)
    ticked = request.POST.getlist("done")
    keys = [work.work_key for work in sheet.planned if work.work_key in ticked]
    here = f"{reverse('job', args=[tag])}?day={day}"
    if not keys:
        messages.error(request, "Tick the planned work that is put off.")
        return redirect(here)
    reason = request.POST.get("reason", "")
    try:
        put_off_all(sheet.machine, keys, day, reason=reason, by=person, now=now)
    except Refusal as refused:
        messages.error(request, refused.sentence)
        return redirect(here)
    messages.success(request, f"{tag}: put off, and planned again at the next run.")
    return redirect(f"{reverse('bench')}?day={day}")


@roles(Role.MECHANIC)
@led_by_tag
@require_POST
def leave_work(request: HttpRequest, tag: str) -> HttpResponse:
    """Leave ticked work under way: what was worked on it, what is left, what lies open."""
    person, now = signed_in(request), timezone.now()
    day = asked_day(request, day_of(person, now))
    sheet = _sheet(person, tag, day)
    here = f"{reverse('job', args=[tag])}?day={day}"
    form = LeaveForm(sheet, request.POST, person)
    if not form.is_valid():
        messages.error(request, form.fault())
        return redirect(here)
    try:
        lay_down_all(form.laid_down(), by=person, now=now)
    except Refusal as refused:
        messages.error(request, refused.sentence)
        return redirect(here)
    messages.success(
        request, f"{tag}: under way. The rest is planned for the next day at the next run."
    )
    return redirect(f"{reverse('bench')}?day={day}")


paths = [
    path("bench/<str:tag>/", job, name="job"),
    path("bench/<str:tag>/put-off/", put_off_work, name="put-off"),
    path("bench/<str:tag>/leave/", leave_work, name="leave-work"),
]
