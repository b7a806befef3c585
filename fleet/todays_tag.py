"""Addresses with a tag of long ago lead to those with the tag of today, for good.

Labels on machines, bookmarks and letters keep working.  The answer is not one that browsers may
remember: the old tag can be given to another machine, to which its addresses then belong.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse

from fleet.queries.machine_called import tag_of_today

View = Callable[..., HttpResponse]

SENT_ALIKE = 307
"""RFC 9110, 15.4.8: ask there again, in the same way and with the same content."""


def led_by_tag(view: View) -> View:
    """Let a view of one machine answer for its tag of today alone, and lead others there."""

    @wraps(view)
    def led(request: HttpRequest, tag: str, **rest: Any) -> HttpResponse:
        today = tag_of_today(tag)
        match = request.resolver_match
        if today == tag or match is None:
            return view(request, tag, **rest)
        query = request.GET.urlencode()
        address = reverse(match.view_name, kwargs={**rest, "tag": today})
        answer = HttpResponseRedirect(f"{address}?{query}" if query else address)
        answer.status_code = SENT_ALIKE
        return answer

    return led
