"""Presses on a decision that was taken against a block: seen by a manager, taken back."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from fleet.access import roles, signed_in
from fleet.actions.decide_work import take_back_override
from fleet.actions.see_overrides import see_override
from fleet.models import Role
from fleet.queries.unseen_overrides import overrides_for
from fleet.refusal import Refusal


@roles()
@require_POST
def seen(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a decision off the list; it stays with its booking."""
    person = signed_in(request)
    row = get_object_or_404(overrides_for(person), pk=pk)
    see_override(row, by=person, now=timezone.now())
    return redirect(f"{reverse('yard')}?shop={row.machine.yard.shop_id}")


@roles(Role.DESK)
@require_POST
def take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a decision back before the machine has gone: a manager any, others their own."""
    person = signed_in(request)
    row = get_object_or_404(overrides_for(person), pk=pk)
    why = request.POST.get("why", "")[:200]
    try:
        if not person.manages and row.by_id != person.pk:
            raise Refusal(f"{row.by} decided it: they, or a manager, take it back.")
        take_back_override(row, why=why, by=person, now=timezone.now())
        messages.success(request, f"Taken back: {row.machine.tag} does not go anyway.")
    except Refusal as no:
        messages.error(request, no.sentence)
    return redirect("booking", row.booking_id)


paths = [
    path("yard/overruled/<int:pk>/seen/", seen, name="override-seen"),
    path("counter/decisions/<int:pk>/back/", take_back, name="override-back"),
]
