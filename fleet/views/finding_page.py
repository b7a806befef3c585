"""One finding: what was seen, what it said before, and the ways to put it right."""

from datetime import datetime

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fleet.access import roles, signed_in
from fleet.actions.correct_findings import correct_finding, strike_finding, unsettle_finding
from fleet.actions.note_findings import settle_findings
from fleet.actions.strike_kept import strike as strike_kept
from fleet.forms.finding_form import FindingForm, SettleForm, WhyForm
from fleet.may_correct import may_correct, written_on
from fleet.models import Finding, Person, Role
from fleet.photo_answer import photo_answer
from fleet.queries.last_act import last_act
from fleet.queries.own_facts import changes_to, findings_of, photos_at_hand_over, photos_of
from fleet.refusal import Refusal
from fleet.saying import joined


def _may(person: Person, found: Finding, now: datetime) -> bool:
    written = written_on(found.machine, found.seen_by_id, found.seen_at, Role.MECHANIC)
    return may_correct(person, written, now)


@roles(Role.MECHANIC, Role.DESK)
@require_http_methods(["GET", "HEAD", "POST"])
def finding(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a finding; correct what it says."""
    person, now = signed_in(request), timezone.now()
    found = get_object_or_404(findings_of(person), pk=pk)
    if request.method != "POST":
        return _page(request, found, now, {})
    _refuse_others(person, found, now)
    form = FindingForm(request.POST, found)
    if form.is_valid():
        try:
            correct_finding(found, form.right(), why=form.cleaned_data["why"], by=person, now=now)
        except Refusal as no:
            form.add_error(no.field if no.field in form.fields else None, no.sentence)
        else:
            messages.success(request, "The finding is corrected; what it said stays on record.")
            return redirect("finding", pk)
    return _page(request, found, now, {"form": form})


@roles(Role.MECHANIC)
@require_POST
def settle(request: HttpRequest, pk: int) -> HttpResponse:
    """Say that a finding has been seen to."""
    person, now = signed_in(request), timezone.now()
    found = get_object_or_404(findings_of(person), pk=pk)
    form = SettleForm(request.POST)
    if not form.is_valid():
        return _page(request, found, now, {"settle": form})
    settle_findings([found], note=form.cleaned_data["why"], by=person, now=now)
    messages.success(request, "The finding is settled.")
    return redirect("finding", pk)


@roles(Role.MECHANIC, Role.DESK)
@require_POST
def strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Strike a finding: it was not so."""
    person, now = signed_in(request), timezone.now()
    found = get_object_or_404(findings_of(person), pk=pk)
    _refuse_others(person, found, now)
    form = WhyForm(request.POST)
    if not form.is_valid():
        return _page(request, found, now, {"strike": form})
    holds = strike_finding(found, why=form.cleaned_data["why"], by=person, now=now)
    messages.success(request, "The finding is struck; it stays on record, struck through.")
    if holds:
        reasons = joined([hold.reason for hold in holds])
        messages.warning(
            request, f"{found.machine.tag} is still held: {reasons}. Release it if it is safe."
        )
    return redirect("finding", pk)


@roles(Role.MECHANIC, Role.DESK)
@require_POST
def reopen(request: HttpRequest, pk: int) -> HttpResponse:
    """Open a settled or struck finding again."""
    person, now = signed_in(request), timezone.now()
    found = get_object_or_404(findings_of(person), pk=pk)
    _refuse_others(person, found, now)
    form = WhyForm(request.POST)
    if not form.is_valid():
        return _page(request, found, now, {"reopen": form})
    unsettle_finding(found, why=form.cleaned_data["why"], by=person, now=now)
    messages.success(request, "The finding is open again.")
    return redirect("finding", pk)


@roles(Role.MECHANIC, Role.DESK)
@require_safe
def photo(request: HttpRequest, pk: int, number: int) -> HttpResponse:
    """Hand a photo out to who may look at its finding."""
    found = get_object_or_404(findings_of(signed_in(request)), pk=pk)
    return photo_answer(get_object_or_404(photos_of(found), pk=number))


@roles(Role.MECHANIC, Role.DESK)
@require_POST
def strike_photo(request: HttpRequest, pk: int, number: int) -> HttpResponse:
    """Strike a photo that shows something else; it stays on record."""
    person, now = signed_in(request), timezone.now()
    found = get_object_or_404(findings_of(person), pk=pk)
    _refuse_others(person, found, now)
    form = WhyForm(request.POST)
    if not form.is_valid():
        messages.error(request, form.fields["why"].error_messages["required"])
        return redirect("finding", pk)
    one = get_object_or_404(photos_of(found), pk=number)
    strike_kept(one, why=form.cleaned_data["why"], by=person, now=now)
    messages.success(request, "The photo is struck; it stays on record.")
    return redirect("finding", pk)


def _refuse_others(person: Person, found: Finding, now: datetime) -> None:
    if not _may(person, found, now):
        raise PermissionDenied


def _page(
    request: HttpRequest, found: Finding, now: datetime, sent: dict[str, Form]
) -> HttpResponse:
    person = signed_in(request)
    context = {
        "finding": found,
        "machine": found.machine,
        "yard": found.machine.yard,
        "today": now.astimezone(found.machine.yard.zone).date(),
        "changes": changes_to(found),
        "photos": photos_of(found),
        "at_hand_over": photos_at_hand_over(found),
        "last_act": last_act(person, now, found.machine),
        "may": _may(person, found, now),
        "may_settle": person.manages or person.role == Role.MECHANIC,
        "form": FindingForm(None, found),
        "settle": SettleForm(),
        "strike": WhyForm(),
        "reopen": WhyForm(),
    }
    return render(request, "fleet/finding.html", context | sent)


paths = [
    path("findings/<int:pk>/", finding, name="finding"),
    path("findings/<int:pk>/photos/<int:number>.jpg", photo, name="finding-photo"),
    path(
        "findings/<int:pk>/photos/<int:number>/strike/", strike_photo, name="finding-photo-strike"
    ),
    path("findings/<int:pk>/settle/", settle, name="finding-settle"),
    path("findings/<int:pk>/strike/", strike, name="finding-strike"),
    path("findings/<int:pk>/reopen/", reopen, name="finding-reopen"),
]
