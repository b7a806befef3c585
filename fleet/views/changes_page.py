"""The change log: who changed what, when and why, narrowed down, and as a file."""

from typing import cast

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_safe

from fleet.access import roles, signed_in
from fleet.change_export import csv_lines
from fleet.forms.changes_form import ChangesForm
from fleet.models import Shop
from fleet.queries.logged_changes import changes_for, narrowed
from fleet.queries.mine import day_of, home_shop

A_PAGE = 50
A_CHUNK = 500
"""Rows of the file that are fetched at one go."""


@roles()
@require_safe
def changes(request: HttpRequest) -> HttpResponse:
    """List the changes that are wanted, newest first."""
    person, now = signed_in(request), timezone.now()
    rows = changes_for(person)
    form = ChangesForm(request.GET, rows)
    place = home_shop(person) or Shop(time_zone="UTC")
    found = narrowed(rows, form.wanted(), place.zone)
    asked = request.GET.copy()
    asked.pop("page", None)
    context = {
        "form": form,
        "page": Paginator(found, A_PAGE).get_page(request.GET.get("page")),
        "narrowed": any(asked.values()),
        "asked": asked.urlencode(),
        "place": place,
        "today": day_of(person, now),
    }
    return render(request, "fleet/changes.html", context)


@roles()
@require_safe
def changes_file(request: HttpRequest) -> HttpResponse:
    """Send the changes that are wanted as CSV."""
    person = signed_in(request)
    rows = changes_for(person)
    place = home_shop(person) or Shop(time_zone="UTC")
    found = narrowed(rows, ChangesForm(request.GET, rows).wanted(), place.zone)
    lines = csv_lines(found.iterator(chunk_size=A_CHUNK), place.zone)
    answer = StreamingHttpResponse(lines, content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="changes.csv"'
    return cast(HttpResponse, answer)  # both are the base that a view may return


paths = [
    path("changes/", changes, name="changes"),
    path("changes/file/", changes_file, name="changes-file"),
]
