"""The door of every page: who comes is held against the table before the page is asked."""

from collections.abc import Callable
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase, HttpResponseNotAllowed

from fleet.models import Person
from fleet.queries.shop_reach import serves_all
from fleet.unreadable import refuse_unreadable
from fleet.who_may import MayDo, Reach, asked_of

INTERFACE = "interface"
READING = ("GET", "HEAD", "OPTIONS")


class Gate:
    """Middleware that goes by `fleet.who_may`; what that says nothing of, the page itself decides.

    It stands behind the one that asks everybody to sign in.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Pass on what comes; the door stands where the page is known."""
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Any, args: Any, kwargs: Any
    ) -> HttpResponseBase | None:
        """Refuse who may not, a method that is not taken, and what no page of ours sends."""
        here = request.resolver_match
        if not (here and here.namespace == INTERFACE):  # which answers other programs in JSON
            # what no browser's form sends is read by its page alone
            with_form = request.method == "POST" and not getattr(view, "csrf_exempt", False)
            refuse_unreadable(request, with_form=with_form)
        asked = asked_of(here.namespace, here.url_name or "") if here else None
        if asked is None or asked.signed_out or not isinstance(request.user, Person):
            return None
        allowed = asked.reads if request.method in READING else asked.writes
        if not may(request.user, allowed or asked.reads | asked.writes):
            raise PermissionDenied
        if not allowed:
            return HttpResponseNotAllowed(["POST"] if asked.writes else ["GET", "HEAD"])
        if not reaches(request.user, asked):
            raise PermissionDenied
        return None


def may(person: Person, roles: frozenset[Any]) -> bool:
    """Whether a person has one of these roles; who owns the site has every one."""
    return person.owns or person.role in roles


def reaches(person: Person, asked: MayDo) -> bool:
    """Whether an address that is about every shop is theirs."""
    return asked.reach is not Reach.EVERY_SHOP or serves_all(person)
