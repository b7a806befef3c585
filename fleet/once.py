"""Middleware: a form that is sent twice acts once, and both hear the same (`press_once`)."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone

from fleet.actions.press_once import (
    KEY_FIELD,
    LONGEST_KEY,
    claim_press,
    digest_of,
    keep_answer,
    let_go,
)
from fleet.from_phone import TAKEN
from fleet.models import Person

LARGE = 1_000_000
"""Bytes of a request whose form is not read here: a file is known by its own marks."""
LONGEST_BODY = 60_000
"""Characters of a line drawn anew that are kept."""
MOVED = (301, 302, 303)
TOLD = ("Location", "Content-Type", TAKEN, "HX-Redirect", "HX-Refresh", "HX-Trigger", "HX-Location")
"""Headers of an answer that belong to it."""


class Once:
    """It stands behind all that refuses, and calls the page itself."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Pass on what comes; what acts is known where the page is."""
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Any, args: Any, kwargs: Any
    ) -> HttpResponseBase | None:
        """Let the first press act, and answer the second with what the first was answered."""
        key = _key(request)
        if not key:
            return None
        person: Any = request.user
        now = timezone.now()
        press, first = claim_press(person, key, digest_of(request.POST), now)
        if press is None:
            return render(request, "fleet/pressed_before.html", status=409)
        if not first:
            return _again(request, press.answer)
        try:
            answer: HttpResponseBase = view(request, *args, **kwargs)
        except BaseException:
            let_go(press)
            raise
        kept = _kept(request, answer)
        if kept is None:
            let_go(press)
        else:
            keep_answer(press, kept, now)
        return answer


def _key(request: HttpRequest) -> str:
    """Return the key of a form that somebody sends; empty where there is none to go by."""
    length = request.META.get("CONTENT_LENGTH") or "0"
    if request.method != "POST" or not isinstance(request.user, Person):
        return ""
    if not length.isdigit() or int(length) > LARGE:
        return ""
    return request.POST.get(KEY_FIELD, "").replace("\x00", "")[:LONGEST_KEY]


def _kept(request: HttpRequest, answer: HttpResponseBase) -> dict[str, Any] | None:
    """Return what of an answer is kept; None where nothing was done.

    Who acts is led on; a whole page is the form again, with what is wrong.  A part of a page that
    is drawn anew may be either.
    """
    if not isinstance(answer, HttpResponse):
        return None
    drawn = bool(getattr(request, "htmx", False)) and answer.status_code in (200, 204)
    if not (answer.status_code in MOVED or drawn) or not getattr(answer, "is_rendered", True):
        return None
    body = answer.content.decode(errors="replace") if drawn else ""
    if len(body) > LONGEST_BODY:
        return None
    # what is queued has not been read by anybody: looking does not use it up
    said = getattr(getattr(request, "_messages", None), "_queued_messages", [])
    return {
        "status": answer.status_code,
        "headers": {name: answer.headers[name] for name in TOLD if name in answer.headers},
        "body": body,
        "said": [[one.level, str(one.message)] for one in said],
    }


def _again(request: HttpRequest, kept: dict[str, Any]) -> HttpResponse:
    """Answer as the first press was answered, with what it was told."""
    for level, text in kept["said"]:
        messages.add_message(request, level, text)
    if kept["status"] in MOVED:
        answer = redirect(kept["headers"]["Location"])
        for name, value in kept["headers"].items():
            answer[name] = value
        return answer
    return HttpResponse(kept["body"], status=kept["status"], headers=kept["headers"])
