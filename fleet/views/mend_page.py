"""Readings to mend: what was refused, with line and reason, to be fixed or dismissed."""

from datetime import datetime

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from fleet.access import roles, signed_in
from fleet.actions.mend_many import leave_out_many, take_many_as_right
from fleet.actions.take_rows import try_again
from fleet.forms.mend_form import MendLine, many_alike, settle, shown
from fleet.models import MeterKind, ReadingToMend, Role
from fleet.queries.kept_readings import (
    as_it_is_now,
    kept_for,
    reasons_waiting,
    settled,
    to_mend,
)
from fleet.queries.mine import day_of
from fleet.refusal import Refusal
from fleet.saying import counted

A_PAGE = 25
METERS = [("", "as the unit or the machine says")] + [(k.value, k.label) for k in MeterKind]
"""Kinds of meter that a row can be said to be of."""


@roles(Role.DESK, Role.MECHANIC)
@require_safe
def readings_to_mend(request: HttpRequest) -> HttpResponse:
    """List what waits; with ?settled=1, what was settled."""
    return _page(request, timezone.now())


def _page(request: HttpRequest, now: datetime, answered: MendLine | None = None) -> HttpResponse:
    person = signed_in(request)
    old = request.GET.get("settled") == "1"
    rows = settled(person) if old else to_mend(person)
    page = Paginator(rows, A_PAGE).get_page(request.GET.get("page"))
    lines = [answered if answered and answered.kept.pk == kept.pk else shown(kept) for kept in page]
    context = {
        "page": page,
        "lines": lines,
        "settled": old,
        "meters": METERS,
        "today": day_of(person, now),
        "many": [] if old else many_alike(reasons_waiting(rows)),
    }
    return render(request, "fleet/readings_to_mend.html", context)


@roles(Role.DESK, Role.MECHANIC)
@require_POST
def mend_reading(request: HttpRequest, pk: int) -> HttpResponse:
    """Mend, answer or dismiss one kept reading; answer with its line, or without scripts a page."""
    person, now = signed_in(request), timezone.now()
    kept = get_object_or_404(kept_for(person), pk=pk)
    line = settle(kept, request.POST, person, now)
    if getattr(request, "htmx", False):
        line.kept = as_it_is_now(kept)
        context = {"line": line, "meters": METERS, "today": day_of(person, now)}
        return render(request, "fleet/_mend.html", context)
    if line.sentence:
        return _page(request, now, line)
    messages.success(request, _done(as_it_is_now(kept)))
    return redirect("readings-to-mend")


def _done(kept: ReadingToMend) -> str:
    return "The reading is taken." if kept.mended_as_id else "The reading is left out, and why."


@roles(Role.DESK, Role.MECHANIC)
@require_POST
def mend_again(request: HttpRequest) -> HttpResponse:
    """Judge all that waits once more, after a swap was noted or a machine set up."""
    person, now = signed_in(request), timezone.now()
    done = try_again(to_mend(person), by=person, now=now)
    taken = counted(done.new + done.known, "reading")
    messages.success(request, f"{taken} could be taken now; {len(done.refused):,} still wait.")
    return redirect("readings-to-mend")


@roles(Role.DESK, Role.MECHANIC)
@require_POST
def mend_many(request: HttpRequest, reason: str) -> HttpResponse:
    """Give one answer to all kept readings of a reason."""
    person, now = signed_in(request), timezone.now()
    try:
        if request.POST.get("answer") == "right":
            done = take_many_as_right(to_mend(person), reason, by=person, now=now)
        else:
            note = request.POST.get("note", "")
            done = leave_out_many(to_mend(person), reason, note=note, by=person, now=now)
        messages.success(request, done.said)
    except Refusal as no:
        messages.error(request, no.sentence)
    return redirect("readings-to-mend")


paths = [
    path("readings-to-mend/all/<str:reason>/", mend_many, name="mend-many"),
    path("readings-to-mend/", readings_to_mend, name="readings-to-mend"),
    path("readings-to-mend/again/", mend_again, name="mend-again"),
    path("readings-to-mend/<int:pk>/", mend_reading, name="mend-reading"),
]
