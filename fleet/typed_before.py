"""What was typed while a session ran out: carried over the sign-in, to be sent by a press of then.

The form itself carries it, signed (django.core.signing), so that nothing of somebody who is not
signed in is stored.  Passwords and photos are not carried.  It is carried alone where the form was
one of ours: a page of another site must not put words into anybody's mouth.
"""

from dataclasses import dataclass
from typing import Any

from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import CsrfViewMiddleware

from fleet.actions.press_once import KEY_FIELD

LARGE = 1_000_000
"""Bytes of a request of which nothing is carried."""
LONGEST = 200_000
"""Characters of what is carried."""
AN_HOUR = 3600
SALT = "typed before signing in again"
SESSION_KEY = "typed_before"
NOT_CARRIED = frozenset({"csrfmiddlewaretoken", KEY_FIELD})


@dataclass(frozen=True)
class TypedBefore:
    """The address of a form, and the pairs of name and value with which it was sent."""

    to: str
    fields: list[list[str]]
    files: bool = False


def carried(request: HttpRequest) -> str:
    """Return what somebody who is signed out by now sent, as text to carry; "" for nothing."""
    if request.method != "POST" or request.headers.get("Sec-Fetch-Dest", "document") != "document":
        return ""
    length = request.META.get("CONTENT_LENGTH") or "0"
    if "HX-Request" in request.headers or not length.isdigit() or int(length) > LARGE:
        return ""
    if CsrfViewMiddleware(_nothing).process_view(request, _nothing, (), {}) is not None:
        return ""
    fields = [[name, said] for name, many in request.POST.lists() for said in many]
    if any("password" in name for name, _ in fields):
        return ""
    told = [pair for pair in fields if pair[0] not in NOT_CARRIED]
    said = {"to": request.get_full_path(), "fields": told, "files": bool(request.FILES)}
    text = signing.dumps(said, salt=SALT, compress=True) if told else ""
    return text if len(text) <= LONGEST else ""


def read_carried(text: str) -> dict[str, Any] | None:
    """Return what was carried, if we wrote it within the hour."""
    try:
        found: dict[str, Any] = signing.loads(text, salt=SALT, max_age=AN_HOUR)
    except signing.BadSignature:
        return None
    return found


def typed_before(request: HttpRequest) -> TypedBefore | None:
    """Return what somebody who is signed in again had typed before."""
    found = request.session.get(SESSION_KEY)
    return TypedBefore(**found) if found else None


def _nothing(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
    return HttpResponse()
