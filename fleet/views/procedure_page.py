"""A shop's own procedure: how it reads on a make-up, and its steps changed with a preview."""

from dataclasses import replace
from uuid import uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from fleet.access import roles, signed_in
from fleet.actions.keep_steps import keep_step, take_out_step
from fleet.forms.procedure_step_form import ProcedureStepForm
from fleet.models import Role, ServiceStep
from fleet.photo_answer import photo_answer
from fleet.photos_aside import PhotosAside
from fleet.procedures.shown_picture import picture_at
from fleet.queries.makeup_intervals import site_units
from fleet.queries.read_procedure import (
    calls_of,
    makeups_of,
    read_on,
    step_numbers,
    step_on_each,
    step_pictures,
    steps_to_change,
)
from fleet.queries.thing_lists import services


@roles(Role.MECHANIC)
def procedure(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a procedure as it reads on one of its make-ups."""
    service = get_object_or_404(services(), pk=pk)
    makeups = makeups_of(service)
    asked = request.GET.get("makeup", "")
    makeup = next((one for one in makeups if str(one.pk) == asked), makeups[0] if makeups else None)
    steps = read_on(service, makeup, site_units(signed_in(request)))
    rows = step_numbers(service)
    context = {
        "service": service,
        "makeup": makeup,
        "makeups": makeups,
        "steps": [(step, rows.get(step.key)) for step in steps],
        "calls": calls_of(service),
        "lacks": sorted({step.lacks for step in steps if step.lacks}),
        "may_change": signed_in(request).manages,
    }
    return render(request, "fleet/procedure.html", context)


@roles()
@require_http_methods(["GET", "HEAD", "POST"])
def procedure_step(request: HttpRequest, pk: int, step: int) -> HttpResponse:
    """Change one step of a procedure, with a look at how it will read."""
    service = get_object_or_404(services(), pk=pk)
    return _step(request, get_object_or_404(steps_to_change(service), pk=step))


@roles()
@require_http_methods(["GET", "HEAD", "POST"])
def procedure_step_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a step to a procedure."""
    return _step(request, ServiceStep(service=get_object_or_404(services(), pk=pk)))


def _step(request: HttpRequest, step: ServiceStep) -> HttpResponse:
    by, now, act = signed_in(request), timezone.now(), request.POST.get("act")
    name, service = step.text, step.service
    if act == "out" and step.pk:
        take_out_step(step, by=by, now=now)
        messages.success(request, f"“{name[:60]}” is taken out.")
        return redirect("procedure", service.pk)
    key = request.POST.get("form_key") or uuid4().hex
    aside = PhotosAside.of(by, key, f"step {service.pk} {step.pk}")
    sent = request.method == "POST"
    form = ProcedureStepForm(
        request.POST if sent else None, request.FILES if sent else None, instance=step, aside=aside
    )
    seen, picture = [], None
    if sent and form.is_valid():
        if act != "preview":
            keep_step(form.instance, by=by, now=now, picture=form.own_picture())
            aside.let_go()
            messages.success(request, "The step is kept.")
            return redirect("procedure", service.pk)
        picture = form.as_seen()
        seen = [
            replace(one, step=one.step and replace(one.step, picture=picture))
            for one in step_on_each(form.instance, site_units(by))
        ]
    if sent:
        aside.let_go()
        aside.put(form.sent, now)
    context = {"form": form, "service": service, "step": step, "name": name, "seen": seen,
               "shown": picture_at(step),
               "picture": picture, "form_key": key,
               "previewed": act == "preview" and not form.errors}  # fmt: skip
    return render(request, "fleet/procedure_step.html", context)


@roles(Role.MECHANIC, Role.DESK)
@require_safe
def step_picture(request: HttpRequest, number: int) -> HttpResponse:
    """Hand out a picture of a step, one that it showed before too."""
    return photo_answer(get_object_or_404(step_pictures(), pk=number))


paths = [
    path("set-up/procedures/pictures/<int:number>.jpg", step_picture, name="step-picture"),
    path("set-up/procedures/<int:pk>/", procedure, name="procedure"),
    path("set-up/procedures/<int:pk>/steps/new/", procedure_step_new, name="procedure-step-new"),
    path("set-up/procedures/<int:pk>/steps/<int:step>/", procedure_step, name="procedure-step"),
]
