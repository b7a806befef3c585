"""The ways in of a ranch hand: a code that is typed, or a link with one press; and their keys."""

from typing import Any

import segno
from django.conf import settings
from django.contrib import messages
from django.contrib.auth import authenticate, login
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from fleet.access import roles, signed_in
from fleet.actions.key_hands import Phone, make_hand_key, note_hand_sign_in, revoke_hand_keys
from fleet.client_address import client_address
from fleet.forms.hand_forms import HandKeyForm, YardCodeForm
from fleet.models import HandKey, HandKeyKind, Person
from fleet.queries.hand_ways import key_of_link, ways_of
from fleet.queries.mine import day_of, home_shop
from fleet.queries.shop_reach import within
from fleet.queries.thing_lists import people
from fleet.refusal import Refusal

BY = "fleet.hand_backend.HandBackend"
NO_SUCH_CODE = "No hand has this code. Look at it again; your fleet manager can give you a new one."
LOST = "It was made already, and is shown once only. If it is lost, make a new one."


@login_not_required
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def hand_code(request: HttpRequest) -> HttpResponse:
    """Sign a hand in by their code; wrong ones are counted like wrong passwords."""
    form = YardCodeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        typed = form.cleaned_data["password"]
        found = authenticate(request, yard_code=typed)
        key = getattr(found, "came_by", None)
        if key is not None:
            return _let_in(request, key)
        form.add_error("password", NO_SUCH_CODE)
    return render(request, "fleet/hand_code.html", {"form": form})


@login_not_required
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def hand_link(request: HttpRequest, word: str) -> HttpResponse:
    """Sign a hand in by one press; opening the link alone, as mail scanners do, does nothing."""
    key = key_of_link(word)
    if key is None:
        return render(request, "fleet/hand_link.html", {"key": None})
    if request.method == "POST":
        return _let_in(request, key)
    return render(request, "fleet/hand_link.html", {"key": key})


def _let_in(request: HttpRequest, key: HandKey) -> HttpResponse:
    """Sign in for long, and write the use down."""
    login(request, key.person, backend=BY)
    request.session.set_expiry(settings.HAND_SESSION_AGE)
    phone = Phone(client_address(request), request.headers.get("User-Agent", ""))
    note_hand_sign_in(key, phone, now=timezone.now())
    return redirect("home")


def _hand(request: HttpRequest, pk: int) -> Person:
    return get_object_or_404(within(signed_in(request), people()), pk=pk)


@roles()
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def hand_keys(request: HttpRequest, pk: int) -> HttpResponse:
    """Show how a hand signs in; make a code or a link, and show it this once."""
    hand, person, now = _hand(request, pk), signed_in(request), timezone.now()
    made: dict[str, Any] = {}
    form = HandKeyForm(request.POST)
    if request.method == "POST" and form.is_valid():
        kind = HandKeyKind(form.cleaned_data["kind"])
        try:
            _, word = make_hand_key(
                hand, kind, by=person, now=now, form_key=form.cleaned_data["form_key"]
            )
        except Refusal as no:
            messages.error(request, no.sentence)
        else:
            made = _shown(kind, word)
            if not word:
                messages.error(request, LOST)
    context = {
        "hand": hand, "ways": ways_of(hand), "form": HandKeyForm(),
        "today": day_of(person, now), "place": hand.shop or home_shop(person), **made,
        "code_page": settings.BASE_URL + reverse("hand-code"),
    }  # fmt: skip
    return render(request, "fleet/hand_keys.html", context)


def _shown(kind: HandKeyKind, word: str) -> dict[str, str]:
    """Return what is shown of a key that was just made: a code, or a link with a code to scan."""
    if not word:
        return {}
    if kind == HandKeyKind.CODE:
        return {"new_code": word}
    address = settings.BASE_URL + reverse("hand-link", args=[word])
    picture = segno.make(address, error="m").svg_data_uri(scale=4, border=4, light="white")
    return {"new_link": address, "picture": picture}


@roles()
@require_POST
def hand_keys_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take code and link back, and sign the hand's phones out."""
    hand = _hand(request, pk)
    revoke_hand_keys(hand, by=signed_in(request), now=timezone.now())
    messages.success(request, f"{hand}'s code and link open nothing any more; phones are out.")
    return redirect("hand-keys", pk)


paths = [
    path("hand/", hand_code, name="hand-code"),
    path("hand/<str:word>/", hand_link, name="hand-link"),
    path("set-up/people/<int:pk>/signs-in/", hand_keys, name="hand-keys"),
    path("set-up/people/<int:pk>/signs-in/back/", hand_keys_back, name="hand-keys-back"),
]
