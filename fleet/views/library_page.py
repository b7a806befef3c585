"""Procedures of the library: taken into the shop, and what the library says anew of them."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from fleet.access import roles, signed_in
from fleet.actions.take_library_changes import changes_offered, decline_changes, take_changes
from fleet.actions.take_procedures import take_procedures
from fleet.models import LibraryCopy
from fleet.procedures.library import procedure_called
from fleet.queries.manual_questions import manual_questions
from fleet.queries.procedures_taken import copies, copies_with_offers, kinds_on_offer
from fleet.queries.thing_lists import makeups
from fleet.refusal import Refusal
from fleet.saying import counted


@roles()
@require_http_methods(["GET", "HEAD", "POST"])
def procedures(request: HttpRequest) -> HttpResponse:
    """Show the library by class of machine; take what is ticked."""
    if request.method == "POST":
        codes = request.POST.getlist("take")
        chosen = [found for code in codes if (found := procedure_called(code))]
        taken = take_procedures(chosen, by=signed_in(request), now=timezone.now())
        if taken:
            messages.success(
                request,
                f"{counted(len(taken), 'procedure')} taken. Say next what the manuals of your"
                " machines say, and how often each recurs.",
            )
        else:
            messages.info(request, "Nothing was ticked that you do not have already.")
        return redirect("procedures")
    kinds = kinds_on_offer()
    context = {
        "kinds": kinds,
        "here": [one for one in kinds if one.here],
        "taken": sum(service is not None for one in kinds for _, service in one.rows),
        "offers": copies_with_offers(),
        "makeups": [(row, manual_questions(row).open) for row in makeups()[:MOST_MAKEUPS]],
    }
    return render(request, "fleet/procedures.html", context)


MOST_MAKEUPS = 12
"""So many make-ups are looked at for what their manuals have not said yet; the rest by Make-ups."""


@roles()
@require_http_methods(["GET", "HEAD", "POST"])
def procedure_offered(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what the library says anew of one procedure; take what is ticked, or leave it."""
    copy = get_object_or_404(copies(), service=pk)
    if request.method == "POST":
        try:
            messages.success(request, _answer(request, copy))
        except Refusal as no:
            messages.error(request, no.sentence)
        return redirect("procedures")
    context = {"copy": copy, "changes": changes_offered(copy)}
    return render(request, "fleet/procedure_offered.html", context)


def _answer(request: HttpRequest, copy: LibraryCopy) -> str:
    """Do what was pressed; say what came of it."""
    by, now = signed_in(request), timezone.now()
    if request.POST.get("act") == "leave":
        decline_changes(copy, by=by, now=now)
        return f"{copy} stays as you have it."
    taken = take_changes(copy, set(request.POST.getlist("take")), by=by, now=now)
    return f"{counted(len(taken), 'change')} taken into {copy}."


paths = [
    path("set-up/procedures/", procedures, name="procedures"),
    path("set-up/procedures/<int:pk>/offered/", procedure_offered, name="procedure-offered"),
]
