"""The manager's press on a decision that was taken against a block: seen."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_POST

from fleet.access import roles, signed_in
from fleet.actions.see_overrides import see_override
from fleet.queries.unseen_overrides import overrides_for


@roles()
@require_POST
def seen(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a decision off the list; it stays with its booking."""
    person = signed_in(request)
    row = get_object_or_404(overrides_for(person), pk=pk)
    see_override(row, by=person, now=timezone.now())
    return redirect("yard")


paths = [path("yard/overruled/<int:pk>/seen/", seen, name="override-seen")]
