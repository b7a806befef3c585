"""The brake on guessing, for every way to sign in: a password, a code, a link.

Whatever signs somebody in asks `django.contrib.auth.authenticate(request, ...)`; then this counts
by itself.  A name among the credentials (`username`) is counted by name and address; credentials
without a name (a code) by the address alone.  A page that checks something by other means asks
`wait_here` first and tells `note_wrong` after.
"""

from datetime import datetime, timedelta
from typing import Any

from axes.handlers.database import AxesDatabaseHandler
from axes.helpers import get_client_session_hash
from axes.models import AccessFailureLog, AccessLog
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from fleet.client_address import client_address
from fleet.sign_in_waits import COUNTED_FOR, NONE, WrongTries, say_wait, wait_after

KNOWN_FOR = timedelta(days=180)
"""How long an address is known from which somebody has signed in well."""
WRONG_KEPT_FOR = timedelta(days=30)
TOO_MANY = 429
LONGEST = 255
"""Characters of a name, and of what a browser calls itself, that are kept."""


def wait_here(request: HttpRequest, name: str | None, now: datetime) -> timedelta:
    """Return how long a sign-in by a name from where a request comes has to wait; four queries."""
    name, here = _plain_name(name), client_address(request)
    good = AccessLog.objects.filter(username=name, ip_address=here)
    last = good.order_by("-attempt_time").values_list("attempt_time", flat=True).first()
    recent = AccessFailureLog.objects.filter(attempt_time__gt=now - COUNTED_FOR)
    from_here = recent.filter(ip_address=here).values_list("attempt_time", "username")
    of_name = recent.filter(username=name).values_list("attempt_time", flat=True) if name else ()
    tries = list(from_here)
    wrong = WrongTries(
        # a good sign-in forgives what this name got wrong here before it
        here=[at for at, of in tries if name and of == name and not (last and at <= last)],
        of_name=list(of_name),
        from_here=[at for at, _ in tries],
        known=bool(name and last and now - last < KNOWN_FOR),
    )
    return wait_after(wrong, now)


def note_wrong(request: HttpRequest, name: str | None) -> None:
    """Keep that a sign-in by a name went wrong."""
    AccessFailureLog.objects.create(username=_plain_name(name), **_from_where(request))


def _plain_name(name: str | None) -> str | None:
    return name.replace("\x00", "")[:LONGEST] if name else None


def _from_where(request: HttpRequest) -> dict[str, Any]:
    """Return what is kept of a request: whence, by what program, to which page."""
    called = request.META.get("HTTP_USER_AGENT", "").replace("\x00", "")[:LONGEST]
    return {
        "ip_address": client_address(request),
        "user_agent": called,
        "http_accept": "",
        "path_info": request.path_info.replace("\x00", "")[:LONGEST],
    }


class Throttle(AxesDatabaseHandler):
    """Hears of every try, good or wrong, and says whether the next one may come."""

    def is_locked(self, request: HttpRequest, credentials: dict[str, Any] | None = None) -> bool:
        """Tell whether this try has to wait."""
        wait = wait_here(request, (credentials or {}).get("username"), timezone.now())
        request.sign_in_wait = wait  # type: ignore[attr-defined]
        return wait > NONE

    def user_login_failed(
        self, sender: Any, credentials: dict[str, Any], request: Any = None, **more: Any
    ) -> None:
        """Keep a wrong try; one that was not let try is no try, and shuts nobody out for longer."""
        if request is None:
            return
        request.axes_credentials = credentials
        if not request.axes_locked_out:
            note_wrong(request, credentials.get("username"))
            request.axes_locked_out = self.is_locked(request, credentials)

    def user_logged_in(self, sender: Any, request: Any, user: Any, **more: Any) -> None:
        """Keep a good one, and let go of what is too old to be asked about."""
        AccessLog.objects.create(
            username=user.get_username(), session_hash=get_client_session_hash(request),
            **_from_where(request),
        )  # fmt: skip
        now = timezone.now()
        AccessFailureLog.objects.filter(attempt_time__lt=now - WRONG_KEPT_FOR).delete()
        AccessLog.objects.filter(attempt_time__lt=now - KNOWN_FOR).delete()

    def user_logged_out(self, sender: Any, request: Any, user: Any, **more: Any) -> None:
        """Nothing hangs on it."""


def wait_page(request: HttpRequest, response: Any = None, credentials: Any = None) -> HttpResponse:
    """Say how long to wait."""
    wait = getattr(request, "sign_in_wait", NONE)
    answer = render(request, "fleet/sign_in_locked.html", {"wait": say_wait(wait)}, status=TOO_MANY)
    answer.headers["Retry-After"] = str(int(wait.total_seconds()) + 1)
    return answer
