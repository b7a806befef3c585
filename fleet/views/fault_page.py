"""What is shown where no page is, and when one fails: full disk, database away, other faults."""

import errno
import sys
from collections.abc import Iterator

from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse, HttpResponseServerError
from django.template.loader import render_to_string
from django.views.defaults import page_not_found

from fleet.tongues.page_language import speak_to_reader

NO_ROOM = ("disk is full", "no space left", "disk quota", "could not extend file")
"""What SQLite, PostgreSQL and the system say of a disk without room."""
IN_ITS_WAKE = ("disk i/o error", "unable to open database file")
"""What SQLite says where it cannot make or grow the files beside the database."""
NO_ANSWER = (
    "connection failed", "connection refused", "connection timeout", "server closed the connection",
    "terminating connection", "the connection is closed", "connection is lost",
    "the database system is",
)  # fmt: skip
"""What is said where a database server is down, starting or stopping ("the database system is
starting up", https://www.postgresql.org/docs/current/errcodes-appendix.html, class 57P)."""
UNAVAILABLE = 503


def nothing_here(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Say that nothing is at an address, in the language of who asks."""
    if request.resolver_match is None:  # else its page has been asked, and the language is set
        speak_to_reader(request, None)
    return page_not_found(request, exception)


def fault(request: HttpRequest) -> HttpResponse:
    """Answer for a page that failed; Django calls it while the error is being handled."""
    error = sys.exc_info()[1]
    if is_no_room(error):
        return HttpResponse(render_to_string("503_no_room.html"), status=UNAVAILABLE)
    if is_no_answer(error):
        return HttpResponse(render_to_string("503_no_answer.html"), status=UNAVAILABLE)
    return HttpResponseServerError(render_to_string("500.html"))


def is_no_room(error: BaseException | None) -> bool:
    """Whether an error, or one that led to it, says that there is no room on the disk."""
    return any(
        (isinstance(one, OSError) and one.errno in (errno.ENOSPC, errno.EDQUOT))
        or _is_said(one, NO_ROOM + IN_ITS_WAKE)
        for one in _chain(error)
    )


def is_no_answer(error: BaseException | None) -> bool:
    """Whether an error, or one that led to it, says that the database's server is not there."""
    return any(_is_said(one, NO_ANSWER) for one in _chain(error))


def _is_said(error: BaseException, words: tuple[str, ...]) -> bool:
    said = str(error).lower()
    return isinstance(error, DatabaseError) and any(one in said for one in words)


def _chain(error: BaseException | None) -> Iterator[BaseException]:
    while error is not None:
        yield error
        error = error.__cause__ or error.__context__
