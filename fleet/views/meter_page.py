"""One meter: its readings, struck ones too; swapped, and a swap put right or undone."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from fleet.access import roles, signed_in
from fleet.actions.correct_meters import SwapCorrection, before_it, correct_swap, undo_swap
from fleet.actions.fit_meters import Swap, swap_meter
from fleet.forms.record_form import StrikeForm
from fleet.forms.swap_form import SwapForm
from fleet.may_correct import may_correct, written_on
from fleet.models import Meter, Person, Role
from fleet.queries.own_facts import changes_to
from fleet.queries.own_readings import meters_of_kind, meters_to_see, readings_on
from fleet.refusal import Refusal

SHOWN = 100
"""Readings that the page shows."""
FIELDS = {"swapped_at": "when"}
"""Field of a refusal -> field of the form."""


def _may(person: Person, found: Meter, now: datetime) -> bool:
    fact = written_on(found.machine, found.noted_by_id, found.fitted_at, Role.MECHANIC)
    return may_correct(person, fact, now)


def _found(request: HttpRequest, pk: int, now: datetime) -> Meter:
    found = get_object_or_404(meters_to_see(signed_in(request)), pk=pk)
    if request.method == "POST" and not _may(signed_in(request), found, now):
        raise PermissionDenied
    return found


@roles(Role.DESK, Role.MECHANIC)
@require_safe
def meter(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a meter with its readings."""
    now = timezone.now()
    return _page(request, _found(request, pk, now), now, {})


@roles(Role.MECHANIC)
@require_POST
def swap(request: HttpRequest, pk: int) -> HttpResponse:
    """Record that a meter was swapped for another."""
    now = timezone.now()
    found = _found(request, pk, now)
    form = SwapForm(request.POST, found, now)
    if form.is_valid():
        typed = form.cleaned_data
        one = Swap(
            meter=found, at=typed["when"], old_last=typed["old_last"],
            new_first=typed["new_first"], by=signed_in(request),
        )  # fmt: skip
        try:
            new = swap_meter(one, now)
        except Refusal as no:
            _refuse(form, no)
        else:
            messages.success(request, "The swap is on record; the machine's life goes on.")
            return redirect("meter", new.pk)
    return _page(request, found, now, {"form": form})


@roles(Role.MECHANIC)
@require_POST
def reswap(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct the swap by which a meter was fitted."""
    now = timezone.now()
    found = _found(request, pk, now)
    old = before_it(found)
    form = SwapForm(request.POST, found, now, (old, found) if old else None)
    if form.is_valid():
        typed = form.cleaned_data
        right = SwapCorrection(typed["when"], typed["old_last"], typed.get("new_first", 0.0))
        try:
            new = correct_swap(found, right, why=typed["why"], by=signed_in(request), now=now)
        except Refusal as no:
            _refuse(form, no)
        else:
            messages.success(request, "It is put right; what was wrong stays on record.")
            return redirect("meter", new.pk)
    return _page(request, found, now, {"correct": form})


@roles(Role.MECHANIC)
@require_POST
def unswap(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo the swap by which a meter was fitted."""
    now = timezone.now()
    found = _found(request, pk, now)
    form = StrikeForm(request.POST)
    if form.is_valid():
        try:
            old = undo_swap(found, why=form.cleaned_data["why"], by=signed_in(request), now=now)
        except Refusal as no:
            form.add_error(None, no.sentence)
        else:
            messages.success(request, "The swap is undone; the meter before it stands on.")
            return redirect("meter", old.pk)
    return _page(request, found, now, {"undo": form})


def _refuse(form: Form, no: Refusal) -> None:
    name = FIELDS.get(no.field, no.field)
    form.add_error(name if name in form.fields else None, no.sentence)


def _page(request: HttpRequest, found: Meter, now: datetime, sent: dict[str, Any]) -> HttpResponse:
    machine = found.machine
    stands = found.struck_at is None and found.removed_at is None
    old = before_it(found) if stands else None
    context = {
        "meter": found,
        "machine": machine,
        "yard": machine.yard,
        "units": machine.yard.units,
        "today": now.astimezone(machine.yard.zone).date(),
        "readings": readings_on(found, SHOWN),
        "meters": meters_of_kind(found),
        "changes": changes_to(found),
        "stands": stands,
        "may": _may(signed_in(request), found, now),
        "old": old,
        "rolled": bool(old) and old is not None and old.ending == Meter.Ending.ROLLED_OVER,
        "form": SwapForm(None, found, now),
        "correct": SwapForm(None, found, now, (old, found) if old else None),
        "undo": StrikeForm(),
    }
    return render(request, "fleet/meter.html", context | sent)


paths = [
    path("meters/<int:pk>/", meter, name="meter"),
    path("meters/<int:pk>/swap/", swap, name="meter-swap"),
    path("meters/<int:pk>/swap/correct/", reswap, name="meter-reswap"),
    path("meters/<int:pk>/swap/undo/", unswap, name="meter-unswap"),
]
