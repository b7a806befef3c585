"""What the site and a phone's own keeping of pages and presses say to each other, by headers.

Each page says whose it is, so that a phone never keeps it for anybody else.  What the phone sends
by itself (a press that waited for a signal, a page taken along) is told where an answer leads
instead of being led there, and what is said to the person waits for the page that they open.
"""

import re
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from django.contrib.messages.storage.base import BaseStorage
from django.http import HttpRequest, HttpResponse, HttpResponseBase

from fleet.models import Person

BY_ITSELF = "Evener-Phone"
"""Header of what a phone sends without anybody looking."""
WHOSE = "Evener-Person"
"""Header of a page: the number of the person who is signed in, or NOBODY."""
NOBODY = "none"
LEADS_TO = "Evener-Leads-To"
"""Header of an answer: where it would have led."""
TAKEN = "Evener-Taken"
"""Header of an answer that is a page either way: whether what was sent was taken."""
AGO = "Evener-Pressed-Ago"
"""Header: seconds since the press, by the clock of the phone that was pressed and sends."""
SECONDS = re.compile(r"[0-9]{1,7}(\.[0-9]{1,3})?")
AT_ONCE = timedelta(minutes=1)
"""A press that took no longer to arrive is of the moment at which it arrives."""
OLDEST = timedelta(days=30)
"""As long as a key of a press is kept; what waited for longer is of the moment it arrives."""
MOVED = (301, 302, 303)


def pressed_at(request: HttpRequest, now: datetime) -> datetime | None:
    """Return when what comes in late was pressed; None of what comes at once, or says nonsense.

    The phone sends how long ago it was, so that a clock that is wrong does no harm; in seconds to
    the thousandth, so that presses that follow close upon one another stay in their order.
    """
    text = request.headers.get(AGO, "")
    if not SECONDS.fullmatch(text):
        return None
    ago = timedelta(seconds=float(text))
    return now - ago if AT_ONCE < ago <= OLDEST else None


def say_taken(answer: HttpResponse, taken: bool) -> HttpResponse:
    """Say with a page whether what was sent was taken: it looks much the same either way."""
    answer[TAKEN] = "yes" if taken else "no"
    return answer


class FromPhone:
    """Middleware that stands before all that may lead elsewhere."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Say whose a page is; tell a phone that sends by itself where the answer leads."""
        answer = self.get_response(request)
        if BY_ITSELF in request.headers and answer.status_code in MOVED:
            told = HttpResponse(status=204, headers={LEADS_TO: answer.headers["Location"]})
            told.cookies = answer.cookies
            if TAKEN in answer.headers:
                told[TAKEN] = answer.headers[TAKEN]
            answer = told
        # a page of a fault asks nobody: what failed may be the database itself
        if answer.status_code < 500 and answer.headers.get("Content-Type", "").startswith(
            "text/html"
        ):
            person = getattr(request, "user", None)
            answer[WHOSE] = str(person.pk) if isinstance(person, Person) else NOBODY
        return answer

    def process_view(self, request: HttpRequest, *_: Any) -> None:
        """Leave what is to be said to the person for a page that they look at."""
        if BY_ITSELF in request.headers and request.method == "GET":
            request._messages = NothingSaid(request)  # type: ignore[attr-defined]


class NothingSaid(BaseStorage):
    """Messages of a page that nobody looks at yet: none are shown, and none are used up."""

    def _get(self, *args: Any, **kwargs: Any) -> tuple[list[Any], bool]:
        return [], True

    def update(self, response: HttpResponseBase) -> None:
        """Keep what waits as it is."""
