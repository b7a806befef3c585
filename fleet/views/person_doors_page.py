"""What a manager does for somebody who cannot get in, or whose phone is gone."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from fleet.access import roles, signed_in
from fleet.actions.let_look import let_look
from fleet.actions.set_passwords import give_link, sign_out_everywhere
from fleet.models import Person, Role
from fleet.password_links import link_for, may_have_link
from fleet.queries.mine import shops_of
from fleet.queries.shop_reach import within
from fleet.queries.thing_lists import people
from fleet.refusal import Refusal

LONGEST_NUMBER = 10
"""Figures beyond which no shop is asked for."""


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


@roles()
@require_POST
def look(request: HttpRequest, pk: int) -> HttpResponse:
    """Let somebody look at another shop, or no longer."""
    by, person = signed_in(request), _theirs(request, pk)
    wanted = request.POST.get("shop", "")
    if not (wanted.isascii() and wanted.isdigit() and len(wanted) < LONGEST_NUMBER):
        raise Http404("There is no such shop.")
    shop, may = get_object_or_404(shops_of(by), pk=int(wanted)), request.POST.get("may") == "yes"
    try:
        let_look(person, shop, may=may, by=by, now=timezone.now())
        said = "may look at" if may else "no longer looks at"
        messages.success(request, f"{person} {said} {shop}.")
    except Refusal as no:
        messages.error(request, no.sentence)
    return redirect("person-doors", pk)


def _theirs(request: HttpRequest, pk: int) -> Person:
    """Return somebody for whom the person who asks may act."""
    found: Person = get_object_or_404(within(signed_in(request), people()), pk=pk)
    return found


def _page(request: HttpRequest, person: Person, link: str = "") -> HttpResponse:
    by = signed_in(request)
    offered = [
        (shop, shop.pk in person.sees_too)
        for shop in shops_of(by)
        if person.only_shop_id not in (None, shop.pk) and person.role != Role.HAND
    ]
    context = {"person": person, "link": link, "may": may_have_link(person), "offered": offered}
    return render(request, "fleet/person_doors.html", context)


paths = [
    path("set-up/people/<int:pk>/signing-in/", doors, name="person-doors"),
    path("set-up/people/<int:pk>/link/", give, name="person-link"),
    path("set-up/people/<int:pk>/look/", look, name="person-look"),
    path("set-up/people/<int:pk>/sign-out/", sign_out, name="person-sign-out"),
]
