"""One job at the bench: its sheet, finishing it, leaving it under way, putting work off."""

from dataclasses import replace
from datetime import date, datetime

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from fleet.access import roles, signed_in
from fleet.actions.ask_on_occasion import ask_on_occasion
from fleet.from_phone import pressed_at
from fleet.models import Finding, Person, Role, ServiceRecord
from fleet.queries.mine import day_of
from fleet.queries.occasion_services import occasion_services
from fleet.queries.open_holds import asked_for_release, holds_standing
from fleet.queries.who_works import machines_at_work
from fleet.refusal import Refusal
from fleet.saying import counted
from fleet.todays_tag import led_by_tag
from scheduling.actions.finish_job import FinishedJob, MeterRefused, finish_job
from scheduling.actions.lay_aside import PutOffWork, leave_job, note_at_once, put_job_off
from scheduling.forms.job_form import JobForm
from scheduling.forms.sheet_ends import SheetEnd
from scheduling.models import State
from scheduling.queries.added_work import can_be_added, with_added
from scheduling.queries.asked_work import with_asked
from scheduling.queries.done_meanwhile import say_beside, with_work_done_meanwhile
from scheduling.queries.job_sheet import (
    JobSheet,
    fetch_instructions,
    job_sheet,
    with_covered_beside,
)
from scheduling.queries.open_entries import NO_ENTRIES, open_entries
from scheduling.views.bench_page import asked_day

SOME_NOTED = (
    "What stops the machine or needs work is noted already. Nothing else has been saved yet, and"
    " nothing you typed is lost. Fix this first:"
)
STAYS_THERE = "What stands under work that is not ticked stays on its sheet."


def _sheet(request: HttpRequest, tag: str, day: date, today: date) -> JobSheet:
    person = signed_in(request)
    asked = request.POST.get("asked") or request.GET.get("also", "")
    sheet = job_sheet(machines_at_work(person, day), tag, day, today)
    if sheet is None:
        raise Http404(f"No machine {tag} in your shop.")
    return with_asked(sheet, asked) if asked else sheet


@roles(Role.MECHANIC)
@led_by_tag
def job(request: HttpRequest, tag: str) -> HttpResponse:
    """Show a job sheet, and write into the book what was done."""
    return _answer(request, tag, SheetEnd.FINISH)


@roles(Role.MECHANIC)
@led_by_tag
@require_POST
def put_off_work(request: HttpRequest, tag: str) -> HttpResponse:
    """Put ticked work off from a day, with the reason; the plan finds it another."""
    return _answer(request, tag, SheetEnd.PUT_OFF)


@roles(Role.MECHANIC)
@led_by_tag
@require_POST
def leave_work(request: HttpRequest, tag: str) -> HttpResponse:
    """Leave ticked work under way: what was worked on it, what is left, what lies open."""
    return _answer(request, tag, SheetEnd.LEAVE)


def _answer(request: HttpRequest, tag: str, end: SheetEnd) -> HttpResponse:
    """Take a sheet, or show it: with what was typed before, or with what is wrong."""
    person, now = signed_in(request), timezone.now()
    today = day_of(person, now)
    day = asked_day(request, today)
    sheet, sent = _sheet(request, tag, day, today), request.method == "POST"
    entries = NO_ENTRIES if sent else open_entries(sheet.machine, person, today)
    sheet = with_added(sheet, request.POST.getlist("added") if sent else entries.ticked("added"))
    if not sent or "also_shown" in request.POST:
        sheet = with_covered_beside(sheet)
    if sent and pressed_at(request, now):  # done without a signal: written, whatever came since
        sheet = with_work_done_meanwhile(sheet, request.POST.getlist("done"))
    form = JobForm(sheet, request.POST if sent else None, person, end, entries)
    if sent and form.is_valid() and _written(request, form, day, now):
        return _after(person, sheet, day, now, end)
    noted = _noted_at_once(request, form, now) if sent else []
    if sent:  # what others typed meanwhile stands beside it
        form.tell_of_others(open_entries(sheet.machine, person, today))
    form.show_all()
    context = {
        "sheet": fetch_instructions(sheet),
        "can_add": can_be_added(sheet),
        "form": form,
        "today": today,
        "day": day,
        "held": holds_standing(sheet.machine),
        "say": SOME_NOTED if noted else "",
    }
    return render(request, "scheduling/job.html", context)


def _noted_at_once(request: HttpRequest, form: JobForm, now: datetime) -> list[Finding]:
    """Note what stops the machine on a sheet that is sent back, before it is mended."""
    seen = form.seen_at_once()
    if not (seen.checks or seen.beyond):
        return []
    seen = replace(seen, at=pressed_at(request, now))
    found = note_at_once(seen, by=signed_in(request), now=now)
    for one in found:
        if one.gravity == Finding.Gravity.UNSAFE:
            said = f"{seen.machine}: noted at once, and it is held: {one.text}."
        else:
            said = f"{seen.machine}: noted at once: {one.text}."
        messages.warning(request, said)
    return found


def _after(
    person: Person, sheet: JobSheet, day: date, now: datetime, end: SheetEnd
) -> HttpResponse:
    """Lead back to the bench, by way of the question whether a held machine is safe now."""
    state = getattr(sheet.machine, "now", None)
    held = state is not None and state.state == State.HELD
    if end is SheetEnd.FINISH and held and asked_for_release(person, sheet.machine, now):
        return redirect("safe-to-release", sheet.machine.tag)
    return redirect(f"{reverse('bench')}?day={day}")


def _written(request: HttpRequest, form: JobForm, day: date, now: datetime) -> bool:
    """Write the visit; say what was written, or put the refusal where it belongs."""
    by, at = signed_in(request), pressed_at(request, now)
    beside = say_beside(form.sheet, form.ticked) if at else []
    seen = form.finished()
    seen = replace(seen, at=at, note=" ".join(filter(None, (seen.note, *beside))))
    try:
        if form.end is SheetEnd.FINISH:
            said = _say_finished(seen, finish_job(seen, by=by, now=now))
        elif form.end is SheetEnd.LEAVE:
            pieces = [replace(piece, at=at) for piece in form.pieces_left()]
            leave_job(seen, pieces, form.still_typed(), by=by, now=now)
            _ask_again(form, by, now)
            said = (
                f"{seen.machine}: under way. The rest is planned for the next day at the next run."
            )
        else:
            work = PutOffWork(form.put_off_keys, day, form.cleaned_data["words"])
            put_job_off(seen, work, form.still_typed(), by=by, now=now)
            _ask_again(form, by, now)
            said = f"{seen.machine}: put off, and planned again at the next run."
    except MeterRefused as refused:
        form.refuse_reading(refused, now)
        return False
    except Refusal as refused:
        form.add_error(refused.field if refused.field in form.fields else None, refused.sentence)
        return False
    messages.success(request, said)
    for sentence in beside:
        messages.warning(request, f"{seen.machine}: {sentence}")
    return True


def _ask_again(form: JobForm, by: Person, now: datetime) -> None:
    """Ask the shop for what was done on an occasion and is not finished: no interval brings it."""
    sheet = form.sheet
    if sheet.asked is None or sheet.asked not in [one.service for one in form.ticked]:
        return
    for one in occasion_services(sheet.machine, sheet.day):
        if one.service == sheet.asked:
            ask_on_occasion(sheet.machine, one, by=by, now=now)


def _say_finished(seen: FinishedJob, records: list[ServiceRecord]) -> str:
    if records:
        said = f"{seen.machine}: {counted(len(records), 'entry', 'entries')} in the book."
    else:
        said = f"{seen.machine}: what was read and found is written down; no work was ticked."
    return f"{said} {STAYS_THERE}" if seen.stays else said


paths = [
    path("bench/<str:tag>/", job, name="job"),
    path("bench/<str:tag>/put-off/", put_off_work, name="put-off"),
    path("bench/<str:tag>/leave/", leave_work, name="leave-work"),
]
