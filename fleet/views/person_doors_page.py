"""What a manager does for somebody who cannot get in, or whose phone is gone."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from fleet.access import roles, signed_in
from fleet.actions.set_passwords import give_link, sign_out_everywhere
from fleet.models import Person
from fleet.password_links import link_for, may_have_link
from fleet.queries.shop_reach import within
from fleet.queries.thing_lists import people
from fleet.refusal import Refusal


@roles()
@never_cache
@require_safe
def doors(request: HttpRequest, pk: int) -> HttpResponse:
    """Offer a link to a new password, and to sign a person out everywhere."""
    return _page(request, _theirs(request, pk))


@roles()
@never_cache
@require_POST
def give(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a link to a new password, this once."""
    person = _theirs(request, pk)
    try:
        give_link(person, by=signed_in(request), now=timezone.now())
    except Refusal as no:
        messages.error(request, no.sentence)
        return redirect("person-doors", pk)
    return _page(request, person, link_for(person))


@roles()
@require_POST
def sign_out(request: HttpRequest, pk: int) -> HttpResponse:
    """End every session of somebody."""
    person = _theirs(request, pk)
    sign_out_everywhere(person, by=signed_in(request), now=timezone.now())
    messages.success(request, f"{person} is signed out everywhere.")
    return redirect("person-doors", pk)


def _theirs(request: HttpRequest, pk: int) -> Person:
    """Return somebody for whom the person who asks may act."""
    found: Person = get_object_or_404(within(signed_in(request), people()), pk=pk)
    return found


def _page(request: HttpRequest, person: Person, link: str = "") -> HttpResponse:
    context = {"person": person, "link": link, "may": may_have_link(person)}
    return render(request, "fleet/person_doors.html", context)


paths = [
    path("set-up/people/<int:pk>/signing-in/", doors, name="person-doors"),
    path("set-up/people/<int:pk>/link/", give, name="person-link"),
    path("set-up/people/<int:pk>/sign-out/", sign_out, name="person-sign-out"),
]
