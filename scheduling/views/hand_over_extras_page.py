"""Photos and charges of one hand-over: shown, added, struck; a photo handed to who may see it."""

from dataclasses import dataclass, field
from datetime import datetime
from secrets import token_hex

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fleet.access import roles, signed_in
from fleet.actions.keep_photos import developed
from fleet.actions.keep_with_hand_over import NewCharge, add_charge, add_photos
from fleet.actions.strike_kept import strike
from fleet.forms.record_form import StrikeForm
from fleet.models import HandOver, Role
from fleet.photo_answer import photo_answer
from fleet.queries.kept_extras import (
    charges_of,
    kept_with,
    photos_of,
    struck_of,
    suggested,
    total,
)
from fleet.refusal import Refusal
from scheduling.forms.extras_forms import ChargeForm, PhotosForm
from scheduling.queries.booking_details import handed_to
from scheduling.views.booking_pages import refuse
from scheduling.views.photo_uploads import TOO_MUCH, too_large


def _mine(request: HttpRequest, pk: int) -> HandOver:
    return get_object_or_404(handed_to(signed_in(request)), pk=pk)


@roles(Role.DESK)
@require_safe
def extras(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what is kept with a hand-over."""
    return _page(request, _mine(request, pk), _Forms(timezone.now()))


@dataclass(frozen=True)
class _Forms:
    """The two forms of the page, and when it is asked for."""

    now: datetime
    photos: PhotosForm = field(default_factory=PhotosForm)
    charge: ChargeForm = field(default_factory=ChargeForm)


def _page(request: HttpRequest, row: HandOver, forms: _Forms, status: int = 200) -> HttpResponse:
    machine = row.booking.machine
    charged = list(charges_of(row))
    forms.charge.initial.setdefault("form_key", token_hex(10))
    context = {
        "row": row,
        "booking": row.booking,
        "machine": machine,
        "yard": machine.yard,
        "today": forms.now.astimezone(machine.yard.zone).date(),
        "photos": photos_of(row),
        "charges": charged,
        "total": total(charged),
        "struck": struck_of(row),
        "suggested": suggested(row),
        "key": token_hex(8),
        "photos_form": forms.photos,
        "charge_form": forms.charge,
    }
    return render(request, "scheduling/hand_over_extras.html", context, status=status)


@csrf_exempt  # the size is looked at before anything of the form is read; then it is protected
@require_http_methods(["POST"])
def add_photo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take photos, within bounds."""
    return _too_much(request, pk) if too_large(request) else _taken(request, pk)


@roles(Role.DESK)
def _too_much(request: HttpRequest, pk: int) -> HttpResponse:
    form = PhotosForm({})
    form.full_clean()
    form.errors.clear()
    form.add_error("photos", TOO_MUCH)
    forms = _Forms(timezone.now(), photos=form)
    return _page(request, _mine(request, pk), forms, status=413)


@csrf_protect
@roles(Role.DESK)
def _taken(request: HttpRequest, pk: int) -> HttpResponse:
    row, now, person = _mine(request, pk), timezone.now(), signed_in(request)
    form = PhotosForm(request.POST, request.FILES)
    if form.is_valid():
        sent, says = form.cleaned_data["photos"], form.cleaned_data["says"]
        try:
            kept = add_photos(row, developed(sent), says=says, by=person, now=now)
        except Refusal as no:
            form.add_error("photos", no.sentence)
        else:
            one = len(kept) == 1
            messages.success(request, f"{len(kept)} photo{'' if one else 's'} kept.")
            return redirect("hand-over-extras", pk)
    return _page(request, row, _Forms(now, photos=form))


@roles(Role.DESK)
@require_POST
def charge(request: HttpRequest, pk: int) -> HttpResponse:
    """Charge something."""
    row, now = _mine(request, pk), timezone.now()
    form = ChargeForm(request.POST)
    if form.is_valid():
        typed = form.cleaned_data
        new = NewCharge(typed["what"], typed["amount"], typed["form_key"])
        try:
            add_charge(row, new, by=signed_in(request), now=now)
        except Refusal as no:
            refuse(form, no)
        else:
            messages.success(request, "It is charged.")
            return redirect("hand-over-extras", pk)
    return _page(request, row, _Forms(now, charge=form))


@roles(Role.DESK)
@require_POST
def strike_one(request: HttpRequest, pk: int, kind: str, number: int) -> HttpResponse:
    """Strike a photo or a charge that was wrong."""
    row = _mine(request, pk)
    one = get_object_or_404(kept_with(row, kind), pk=number)
    form = StrikeForm(request.POST)
    try:
        why = form.cleaned_data["why"] if form.is_valid() else ""
        strike(one, why=why, by=signed_in(request), now=timezone.now())
    except Refusal as no:
        messages.error(request, no.sentence)
    else:
        messages.success(request, "It is struck; it stays on record.")
    return redirect("hand-over-extras", pk)


@roles(Role.DESK, Role.MECHANIC)
@require_safe
def photo(request: HttpRequest, pk: int, number: int) -> HttpResponse:
    """Hand a photo out to who may look at its booking."""
    row = get_object_or_404(kept_with(_mine(request, pk), "photo"), pk=number)
    return photo_answer(row)


BASE = "counter/hand-overs/<int:pk>"
paths = [
    path(f"{BASE}/more/", extras, name="hand-over-extras"),
    path(f"{BASE}/photos/", add_photo, name="hand-over-add-photo"),
    path(f"{BASE}/photos/<int:number>.jpg", photo, name="hand-over-photo"),
    path(f"{BASE}/charges/", charge, name="hand-over-charge"),
    path(
        f"{BASE}/photos/<int:number>/strike/", strike_one, {"kind": "photo"},
        name="hand-over-photo-strike",
    ),
    path(
        f"{BASE}/charges/<int:number>/strike/", strike_one, {"kind": "charge"},
        name="hand-over-charge-strike",
    ),
]  # fmt: skip
