"""What is shown when a page fails: a disk that is full, or else that something broke."""

import errno
import sys

from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse, HttpResponseServerError
from django.template.loader import render_to_string

NO_ROOM = ("disk is full", "no space left", "disk quota", "could not extend file")
"""What SQLite, PostgreSQL and the system say of a disk without room."""
IN_ITS_WAKE = ("disk i/o error", "unable to open database file")
"""What SQLite says where it cannot make or grow the files beside the database."""
UNAVAILABLE = 503


def fault(request: HttpRequest) -> HttpResponse:
    """Answer for a page that failed; Django calls it while the error is being handled."""
    if is_no_room(sys.exc_info()[1]):
        return HttpResponse(render_to_string("503_no_room.html"), status=UNAVAILABLE)
    return HttpResponseServerError(render_to_string("500.html"))


def is_no_room(error: BaseException | None) -> bool:
    """Whether an error, or one that led to it, says that there is no room on the disk."""
    while error is not None:
        if isinstance(error, OSError) and error.errno in (errno.ENOSPC, errno.EDQUOT):
            return True
        said = str(error).lower()
        if isinstance(error, DatabaseError) and any(w in said for w in NO_ROOM + IN_ITS_WAKE):
            return True
        error = error.__cause__ or error.__context__
    return False
