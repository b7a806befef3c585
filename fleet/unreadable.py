"""What no page of ours can have sent is refused before a page sees it.

A form that says of more rows than it sends fields: Django makes a form for each row that is said, a
thousand more than its page shows, which is minutes of work for one small request.  A character NUL,
which PostgreSQL keeps in no text.  The number of a row that is no number.
"""

import re

from django.core.exceptions import BadRequest
from django.http import HttpRequest

COUNTS = ("-TOTAL_FORMS", "-INITIAL_FORMS")
ROW = re.compile(r"-\d+-id")
NUL = "\x00"


def refuse_unreadable(request: HttpRequest, *, with_form: bool) -> None:
    """Raise BadRequest for NUL in address or form, and for rows that cannot be."""
    if not (request.META.get("CONTENT_LENGTH") or "0").isdecimal():
        raise BadRequest("The request does not say how long it is.")
    if NUL in request.path_info:
        raise BadRequest("The address has a character that no text has.")
    for sent in (request.GET, request.POST) if with_form else (request.GET,):
        for name, values in sent.lists():
            if NUL in name or any(NUL in value for value in values):
                raise BadRequest("What was sent has a character that no text has.")
    if with_form:
        _refuse_rows(request)


def _refuse_rows(request: HttpRequest) -> None:
    sent = len(request.POST)
    for name, value in request.POST.items():
        said = str(value).strip()
        if name.endswith(COUNTS) and said.isdecimal() and (len(said) > 6 or int(said) > sent):
            raise BadRequest(f"{name} says more rows than there are fields.")
        if ROW.search(name) and said and not said.isdecimal():
            raise BadRequest(f"{name} is the number of no row.")
