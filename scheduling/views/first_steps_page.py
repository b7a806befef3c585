"""The guided first run: a list of steps from the empty site to the first plan."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone

from fleet.access import roles, signed_in
from scheduling.queries.first_steps import first_steps


@roles()
def steps(request: HttpRequest) -> HttpResponse:
    """Show what is done and what comes next; it can be left and taken up at any point."""
    return render(
        request,
        "scheduling/first_steps.html",
        {"first": first_steps(signed_in(request), timezone.now())},
    )


paths = [path("set-up/first-steps/", steps, name="first-steps")]
