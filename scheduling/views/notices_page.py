"""Notices: what was told to whom, and whether the mail server has taken it."""

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone

from fleet.access import signed_in
from fleet.queries.mine import day_of
from scheduling.notices.open_warnings import waits_for_answer
from scheduling.notices.signed_links import answer_path
from scheduling.queries.readable_notices import for_person, notice_for, unsent_for

A_PAGE = 30


def notices(request: HttpRequest) -> HttpResponse:
    """List a person's notices, newest first; a manager sees the shop's."""
    person = signed_in(request)
    rows = for_person(person)
    page = Paginator(rows, A_PAGE).get_page(request.GET.get("page"))
    unsent = unsent_for(person)
    return render(
        request,
        "scheduling/notices.html",
        {
            "page": page,
            "waiting": unsent.waiting,
            "failed": unsent.failed,
            "today": day_of(person, timezone.now()),
        },
    )


def notice(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one notice as it was written."""
    person = signed_in(request)
    row = notice_for(person, pk)
    if row is None:
        raise Http404("You have no such notice.")
    today = day_of(person, timezone.now())
    open_still = row.answered_at is None and row.over_at is None and waits_for_answer(row)
    context = {
        "notice": row,
        "today": today,
        "answer": answer_path(row) if open_still else "",
    }
    return render(request, "scheduling/notice.html", context)


paths = [
    path("notices/", notices, name="notices"),
    path("notices/<int:pk>/", notice, name="notice"),
]
