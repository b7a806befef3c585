"""One check-out or return put right, or undone altogether."""

from datetime import datetime

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from fleet.access import roles, signed_in
from fleet.actions.correct_hand_overs import correct_hand_over, undo_hand_over
from fleet.forms.correct_hand_over_form import CorrectHandOverForm
from fleet.forms.record_form import StrikeForm
from fleet.may_correct import may_correct, written_on
from fleet.models import HandOver, Person, Role
from fleet.refusal import Refusal
from fleet.saying import joined
from scheduling.queries.booking_details import handed_to


def may_put_right(person: Person, row: HandOver, now: datetime) -> bool:
    """Tell whether a person may put a hand-over right."""
    fact = written_on(row.booking.machine, row.by_id, row.at, Role.DESK)
    return may_correct(person, fact, now)


def _asked(request: HttpRequest, pk: int, now: datetime) -> HandOver:
    person = signed_in(request)
    row = get_object_or_404(handed_to(person), pk=pk)
    if not may_put_right(person, row, now):
        raise PermissionDenied
    return row


@roles(Role.DESK)
@require_http_methods(["GET", "HEAD", "POST"])
def correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a hand-over as it stands; put it right."""
    now = timezone.now()
    row = _asked(request, pk, now)
    if row.struck_at is not None:
        messages.warning(request, "This hand-over was already put right.")
        return redirect("booking", row.booking_id)
    if request.method != "POST":
        return _page(request, row, CorrectHandOverForm(None, row, now), StrikeForm(), now)
    form = CorrectHandOverForm(request.POST, row, now)
    if form.is_valid():
        why = form.cleaned_data["why"]
        try:
            correct_hand_over(
                row, form.right(), why=why, by=signed_in(request), now=now, sure=form.sure
            )
        except Refusal as no:
            form.refuse(no)
        else:
            messages.success(
                request,
                f"The {row.get_direction_display()} is put right; the old one stays on record.",
            )
            return redirect("booking", row.booking_id)
    return _page(request, row, form, StrikeForm(), now)


@roles(Role.DESK)
@require_POST
def undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo a hand-over: it never was."""
    now = timezone.now()
    row = _asked(request, pk, now)
    form = StrikeForm(request.POST)
    if form.is_valid():
        try:
            holds = undo_hand_over(
                row, why=form.cleaned_data["why"], by=signed_in(request), now=now
            )
        except Refusal as no:
            form.add_error(None, no.sentence)
        else:
            tag, what = row.booking.machine.tag, row.get_direction_display()
            messages.success(request, f"{tag}: the {what} is undone; it stays on record.")
            if holds:
                reasons = joined([hold.reason for hold in holds])
                messages.warning(request, f"{tag} is still held: {reasons}.")
            return redirect("booking", row.booking_id)
    return _page(request, row, CorrectHandOverForm(None, row, now), form, now)


def _page(
    request: HttpRequest,
    row: HandOver,
    form: CorrectHandOverForm,
    strike: StrikeForm,
    now: datetime,
) -> HttpResponse:
    machine = row.booking.machine
    context = {
        "row": row,
        "booking": row.booking,
        "machine": machine,
        "yard": machine.yard,
        "today": now.astimezone(machine.yard.zone).date(),
        "form": form,
        "strike": strike,
    }
    return render(request, "scheduling/correct_hand_over.html", context)


paths = [
    path("counter/hand-overs/<int:pk>/", correct, name="hand-over-correct"),
    path("counter/hand-overs/<int:pk>/undo/", undo, name="hand-over-undo"),
]
