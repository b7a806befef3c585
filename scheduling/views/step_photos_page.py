"""Photos that a step asks for: kept from its sheet, shown to who may see the machine, struck."""

from datetime import date

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fleet.access import roles, signed_in
from fleet.actions.photograph_work import PhotoStep, photograph_step
from fleet.actions.strike_kept import strike
from fleet.forms.record_form import StrikeForm
from fleet.from_phone import pressed_at
from fleet.may_correct import may_correct, written_on
from fleet.models import Machine, Role
from fleet.photo_answer import photo_answer
from fleet.queries.mine import day_of
from fleet.queries.photos_of_work import entry_of, work_photos_of
from fleet.queries.who_works import machines_at_work
from fleet.refusal import Refusal
from fleet.todays_tag import led_by_tag
from scheduling.forms.step_fields import step_name
from scheduling.forms.step_photos_form import StepPhotosForm
from scheduling.queries.photo_steps import photo_step
from scheduling.views.bench_page import asked_day
from scheduling.views.photo_uploads import TOO_MUCH, too_large


@csrf_exempt  # the size is looked at before anything of the form is read; then it is protected
@require_http_methods(["POST"])
@led_by_tag
def add(request: HttpRequest, tag: str) -> HttpResponse:
    """Keep photos of a step, and lead back to its sheet."""
    return _too_much(request, tag) if too_large(request) else _taken(request, tag)


@roles(Role.MECHANIC)
def _too_much(request: HttpRequest, tag: str) -> HttpResponse:
    today = day_of(signed_in(request), timezone.now())
    machine = _machine(request, tag, today)
    messages.error(request, TOO_MUCH)
    return _to_sheet(request, machine, today)


@csrf_protect
@roles(Role.MECHANIC)
def _taken(request: HttpRequest, tag: str) -> HttpResponse:
    now = timezone.now()
    today = day_of(signed_in(request), now)
    machine = _machine(request, tag, today)
    form = StepPhotosForm(request.POST, request.FILES)
    if not form.is_valid():
        for said in form.errors.get("photos", ["That step asks for no photos."]):
            messages.error(request, str(said))
        return _to_sheet(request, machine, today)
    service, step = form.cleaned_data["service"], form.cleaned_data["step"]
    found = photo_step(machine, service, step)
    if found is None:
        messages.error(request, "That step asks for no photos.")
        return _to_sheet(request, machine, today)
    of = PhotoStep(machine, found.service, step, found.words)
    at = pressed_at(request, now) or now
    try:
        kept = photograph_step(of, form.cleaned_data["photos"], by=signed_in(request), now=at)
    except Refusal as no:
        messages.error(request, no.sentence)
    else:
        if kept:
            messages.success(request, f"Photos kept: {len(kept)}.")
        else:
            messages.success(request, "These photos are kept already.")
    return _to_sheet(request, machine, today, f"#photos-at-{step_name(found.service.pk, step)}")


def _machine(request: HttpRequest, tag: str, today: date) -> Machine:
    return get_object_or_404(machines_at_work(signed_in(request), today), tag=tag)


def _to_sheet(request: HttpRequest, machine: Machine, today: date, at: str = "") -> HttpResponse:
    day = asked_day(request, today)
    also = request.GET.get("also", "")
    asked = f"&also={also}" if also.isdecimal() else ""
    return redirect(f"{reverse('job', args=[machine.tag])}?day={day}{asked}{at}")


@roles(Role.MECHANIC, Role.DESK)
@require_safe
def picture(request: HttpRequest, number: int) -> HttpResponse:
    """Hand a photo out to who may look at its machine."""
    return photo_answer(get_object_or_404(work_photos_of(signed_in(request)), pk=number))


@roles(Role.MECHANIC)
@require_POST
def strike_one(request: HttpRequest, number: int) -> HttpResponse:
    """Strike a photo that shows something else; it stays on record."""
    person, now = signed_in(request), timezone.now()
    one = get_object_or_404(work_photos_of(person), pk=number)
    if not may_correct(person, written_on(one.machine, one.by_id, one.at, Role.MECHANIC), now):
        raise PermissionDenied
    form = StrikeForm(request.POST)
    if form.is_valid():
        strike(one, why=form.cleaned_data["why"], by=person, now=now)
        messages.success(request, "The photo is struck; it stays on record.")
    else:
        messages.error(request, form.fields["why"].error_messages["required"])
    entry = entry_of(one)
    if entry is None:
        return redirect("job", one.machine.tag)
    return redirect("record", entry.pk)


paths = [
    path("bench/<str:tag>/photos/", add, name="step-photos"),
    path("bench/photos/<int:number>.jpg", picture, name="step-photo"),
    path("bench/photos/<int:number>/strike/", strike_one, name="step-photo-strike"),
]
