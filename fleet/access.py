"""Who may do what: one place for the roles that a page asks for."""

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, cast

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import resolve_url

from fleet.models import Person, Role

P = ParamSpec("P")

HOME = {
    Role.OWNER: "yard",
    Role.MANAGER: "yard",
    Role.DESK: "counter",
    Role.MECHANIC: "bench",
    Role.HAND: "meter-round",
}
"""The page on which each role lands."""


def signed_in(request: HttpRequest) -> Person:
    """Return the person who is signed in; every page asks for one by middleware."""
    return cast(Person, request.user)


def home_of(person: Person) -> str:
    """Return the address of a person's own page; who has no role yet has none: PermissionDenied."""
    role = Role.OWNER if person.owns else person.role
    if role not in HOME:
        raise PermissionDenied
    return resolve_url(HOME[Role(role)])


def roles(
    *allowed: Role,
) -> Callable[
    [Callable[Concatenate[HttpRequest, P], HttpResponse]],
    Callable[Concatenate[HttpRequest, P], HttpResponse],
]:
    """Let a view answer only these roles; who manages the fleet may open every page."""

    def decorate(
        view: Callable[Concatenate[HttpRequest, P], HttpResponse],
    ) -> Callable[Concatenate[HttpRequest, P], HttpResponse]:
        @wraps(view)
        def guarded(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
            person = signed_in(request)
            if not (person.manages or person.role in allowed):
                raise PermissionDenied
            return view(request, *args, **kwargs)

        return guarded

    return decorate
