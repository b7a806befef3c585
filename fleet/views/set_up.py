"""The set-up page: what is there, what is missing, and the way to each sheet."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path

from fleet.access import roles
from fleet.queries.set_up import parts_of_set_up


@roles()
def set_up(request: HttpRequest) -> HttpResponse:
    """Show the parts of set-up in the order in which a new shop needs them."""
    parts = parts_of_set_up()
    return render(
        request,
        "fleet/set_up.html",
        {"parts": parts, "lacking": [part for part in parts if part.missing]},
    )


paths = [path("set-up/", set_up, name="set-up")]
