"""Nights and copies: how the last nights went, what is owed, and the copies of the site."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from fleet.access import roles, signed_in
from fleet.models import Shop
from fleet.queries.mine import day_of, home_shop, shops_of
from scheduling.actions.ask_night import ask_night
from scheduling.queries.nights_told import (
    last_copies,
    nights_of,
    owed_by_kind,
    shop_with_nights,
)


@roles()
@require_safe
def nights(request: HttpRequest) -> HttpResponse:
    """Show the last nights of a manager's shops and the copies of the site."""
    person, now = signed_in(request), timezone.now()
    shops = nights_of(shops_of(person))
    copies = last_copies()
    context = {
        "shops": shops,
        "wrong": [one for one in shops if one.wrong],
        "none_yet": [one for one in shops if not one.nights],
        "owed": owed_by_kind(now),
        "copies": copies,
        "copy": copies[0] if copies else None,
        "place": home_shop(person) or Shop(time_zone="UTC"),
        "today": day_of(person, now),
    }
    return render(request, "scheduling/nights.html", context)


@roles()
@require_POST
def run_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Have the night of one shop run now."""
    shop = shop_with_nights(signed_in(request), pk)
    if shop is None:
        raise Http404("You have no such shop.")
    ask_night(shop, timezone.now())
    messages.success(
        request, f"The night of {shop} is run as soon as the worker is free; look here again."
    )
    return redirect("nights")


paths = [
    path("nights/", nights, name="nights"),
    path("nights/<int:pk>/run/", run_again, name="night-run"),
]
