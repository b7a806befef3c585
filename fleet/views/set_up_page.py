"""The set-up page: what is there, what is missing, and the way to each sheet."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone

from fleet.access import roles, signed_in
from fleet.queries.mine import day_of
from fleet.queries.set_up_needs import parts_of_set_up


@roles()
def set_up(request: HttpRequest) -> HttpResponse:
    """Show the parts of set-up in the order in which a new shop needs them."""
    parts = parts_of_set_up(day_of(signed_in(request), timezone.now()))
    return render(
        request,
        "fleet/set_up.html",
        {"parts": parts, "lacking": [part for part in parts if part.missing]},
    )


paths = [path("set-up/", set_up, name="set-up")]
