"""Holds: hang one, say it better, release it, and the question after a repair."""

from datetime import datetime

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fleet.access import home_of, roles, signed_in
from fleet.actions.hold_machines import HoldWords, NewHold, change_hold, place_hold, release_hold
from fleet.forms.hold_forms import HoldChangeForm, HoldForm, ReleaseForm
from fleet.from_phone import pressed_at
from fleet.models import Hold, Machine, Person, Role
from fleet.queries.coming_bookings import may_answer, to_answer
from fleet.queries.last_act import last_act
from fleet.queries.mine import day_of, machines_of
from fleet.queries.open_holds import asked_for_release, holds_of, one_hold, still_held
from fleet.queries.own_facts import changes_to
from fleet.refusal import Refusal

BACK = ("yard", "bench")
"""Pages to which a release may lead back; else to the machine's own."""


@roles(Role.DESK, Role.MECHANIC)
@require_http_methods(["GET", "HEAD", "POST"])
def hold_machine(request: HttpRequest, tag: str) -> HttpResponse:
    """Hang a hold on a machine."""
    person, now = signed_in(request), timezone.now()
    machine = _machine(person, tag)
    form = HoldForm(machine, person, request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        at = pressed_at(request, now)
        place_hold(NewHold(machine, **form.cleaned_data), by=person, now=now, at=at)
        messages.success(request, f"{machine.tag} is held. The desk and the shop are told.")
        if may_answer(person) and to_answer(machine, now.astimezone(machine.yard.zone).date()):
            return redirect("machine-bookings", machine.tag)
        return redirect(f"{machine.get_absolute_url()}#holds")
    return render(request, "fleet/hold_machine.html", {"machine": machine, "form": form})


@roles(Role.DESK, Role.MECHANIC)
@require_safe
def hold(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a hold: why, since when, what must be true, who may release it, what was changed."""
    return _page(request, _hold(signed_in(request), pk), timezone.now())


@roles(Role.DESK, Role.MECHANIC)
@require_POST
def release(request: HttpRequest, pk: int) -> HttpResponse:
    """Release a machine from a hold, with a note."""
    person, now = signed_in(request), timezone.now()
    held = _hold(person, pk)
    form = ReleaseForm(request.POST)
    if form.is_valid():
        try:
            done = release_hold(held, note=form.cleaned_data["note"], by=person, now=now)
        except Refusal as refused:
            form.add_error(refused.field or None, refused.sentence)
        else:
            messages.success(request, _said(done))
            return redirect(_back(request, done))
    return _page(request, held, now, release_form=form)


@roles(Role.DESK, Role.MECHANIC)
@require_POST
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change why a machine stays, what must be true for its release, or who decides."""
    person, now = signed_in(request), timezone.now()
    held = _hold(person, pk)
    form = HoldChangeForm(held, person, request.POST)
    if form.is_valid():
        try:
            change_hold(held, HoldWords(**form.cleaned_data), by=person, now=now)
        except Refusal as refused:
            form.add_error(refused.field or None, refused.sentence)
        else:
            messages.success(request, f"The hold on {held.machine.tag} is changed.")
            return redirect("hold", pk)
    return _page(request, held, now, change_form=form)


@roles(Role.MECHANIC)
@require_safe
def safe_to_release(request: HttpRequest, tag: str) -> HttpResponse:
    """Ask after a repair whether the machine that it was held for is safe."""
    person, now = signed_in(request), timezone.now()
    machine = _machine(person, tag)
    context = {
        "machine": machine,
        "yard": machine.yard,
        "today": now.astimezone(machine.yard.zone).date(),
        "asked": asked_for_release(person, machine, now),
        "home": home_of(person),
    }
    return render(request, "fleet/safe_to_release.html", context)


def _page(
    request: HttpRequest,
    held: Hold,
    now: datetime,
    release_form: ReleaseForm | None = None,
    change_form: HoldChangeForm | None = None,
) -> HttpResponse:
    person = signed_in(request)
    seen = one_hold(person, held.pk, now)
    may_change = person.manages or person in (held.decided_by, held.placed_by)
    context = {
        "seen": seen,
        "hold": seen.hold,
        "yard": seen.hold.machine.yard,
        "today": day_of(person, now),
        "release_form": release_form,
        "change_form": change_form or (HoldChangeForm(held, person) if may_change else None),
        "changes": changes_to(held),
        "last_act": last_act(person, now, seen.hold.machine),
    }
    return render(request, "fleet/hold.html", context)


def _machine(person: Person, tag: str) -> Machine:
    return get_object_or_404(machines_of(person), tag=tag)


def _hold(person: Person, pk: int) -> Hold:
    return get_object_or_404(holds_of(person), pk=pk)


def _said(done: Hold) -> str:
    """Say that a machine is released, and what holds it still."""
    tag = done.machine.tag
    if other := still_held(done.machine):
        return f"This hold is released; {tag} stays held: {other.reason}"
    return f"{tag} is released by {done.released_by}."


def _back(request: HttpRequest, done: Hold) -> str:
    page = request.POST.get("back", "")
    return reverse(page) if page in BACK else f"{done.machine.get_absolute_url()}#holds"


paths = [
    path("machines/<str:tag>/hold/", hold_machine, name="hold-machine"),
    path("machines/<str:tag>/safe-to-release/", safe_to_release, name="safe-to-release"),
    path("holds/<int:pk>/", hold, name="hold"),
    path("holds/<int:pk>/release/", release, name="release-hold"),
    path("holds/<int:pk>/change/", change, name="change-hold"),
]
