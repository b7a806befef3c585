"""One entry of the service book: what it says, what it said before, and the way to put it right."""

from datetime import datetime

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from fleet.access import roles, signed_in
from fleet.actions.correct_findings import held_by
from fleet.actions.correct_records import correct_record, entries_of_visit, strike_record
from fleet.forms.record_form import RecordForm, StrikeForm
from fleet.may_correct import may_correct, written_on
from fleet.models import Person, Role, ServiceRecord
from fleet.queries.answered_steps import answered_steps
from fleet.queries.entry_choices import entries_of
from fleet.queries.entry_words import entry_for_page
from fleet.queries.photos_of_work import photos_of_entry
from fleet.refusal import Refusal
from fleet.saying import joined


def _may(person: Person, found: ServiceRecord, now: datetime) -> bool:
    written = written_on(found.machine, found.entered_by_id, found.entered_at, Role.MECHANIC)
    return may_correct(person, written, now)


@roles(Role.MECHANIC, Role.DESK)
@require_http_methods(["GET", "HEAD", "POST"])
def record(request: HttpRequest, pk: int) -> HttpResponse:
    """Show an entry; put it right by a new one."""
    person, now = signed_in(request), timezone.now()
    found = get_object_or_404(entries_of(person), pk=pk)
    if request.method != "POST":
        return _page(request, found, now, RecordForm(None, found, now), StrikeForm())
    if not _may(person, found, now):
        raise PermissionDenied
    form = RecordForm(request.POST, found, now)
    if form.is_valid():
        try:
            new = correct_record(
                found, form.work(), by=person, now=now, why=form.cleaned_data["why"],
                sure=form.sure,
            )  # fmt: skip
        except Refusal as no:
            form.refuse(no)
        else:
            messages.success(request, "The entry is put right; the old one stays in the book.")
            _say_holds(request, found)
            return redirect("record", new.pk)
    return _page(request, found, now, form, StrikeForm())


@roles(Role.MECHANIC, Role.DESK)
@require_POST
def strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Strike an entry: it was not done after all."""
    person, now = signed_in(request), timezone.now()
    found = get_object_or_404(entries_of(person), pk=pk)
    if not _may(person, found, now):
        raise PermissionDenied
    form = StrikeForm(request.POST)
    if form.is_valid():
        try:
            strike_record(found, why=form.cleaned_data["why"], by=person, now=now)
        except Refusal as no:
            form.add_error(None, no.sentence)
        else:
            messages.success(request, "The entry is struck; it stays in the book, struck through.")
            _say_holds(request, found)
            return redirect("record", pk)
    return _page(request, found, now, RecordForm(None, found, now), form)


def _say_holds(request: HttpRequest, found: ServiceRecord) -> None:
    """A hold that hangs on what was struck stays, and is said."""
    if holds := held_by(found):
        reasons = joined([hold.reason for hold in holds])
        messages.warning(
            request, f"{found.machine.tag} is still held: {reasons}. Release it if it is safe."
        )


def _page(
    request: HttpRequest, found: ServiceRecord, now: datetime, form: RecordForm, why: StrikeForm
) -> HttpResponse:
    later = getattr(found, "corrected_by", None)
    stands = not (found.void or later)
    steps = answered_steps(found)
    context = {
        "record": found,
        "machine": found.machine,
        "yard": found.machine.yard,
        "today": now.astimezone(found.machine.yard.zone).date(),
        "later": later,
        "said": entry_for_page(found, now.astimezone(found.machine.yard.zone).date()),
        "stands": stands,
        "may": stands and _may(signed_in(request), found, now),
        "steps_done": steps,
        "answered": any(one.answered for one in steps),
        "photos": photos_of_entry(found),
        "others": entries_of_visit(found) if stands else [],
        "form": form,
        "strike": why,
    }
    return render(request, "fleet/record.html", context)


paths = [
    path("book/<int:pk>/", record, name="record"),
    path("book/<int:pk>/strike/", strike, name="record-strike"),
]
