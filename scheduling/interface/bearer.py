"""Who asks: the key in `Authorization: Bearer` (RFC 6750), what it reaches, and wrong keys.

Guessing 256 bits is hopeless, so what is limited is not the chance but the noise: an address that
shows one wrong key after the other is told to wait, and a right key from there still opens, since
behind a proxy all clients have one address.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.core.cache import cache
from django.http import HttpRequest
from django.utils import timezone
from ninja.security import HttpBearer

from fleet.actions.make_keys import note_use
from fleet.models import ClientKey, KeyScope
from fleet.queries.standing_keys import key_shown
from scheduling.interface.problem_details import NotSo

MOST_WRONG = 20
"""Wrong keys from one address before it is told to wait."""
WAIT = timedelta(minutes=15)

NO_KEY = "Send a key: Authorization: Bearer KEY. A manager makes one under Set-up."
WRONG_KEY = "This key opens nothing: it is wrong, or was revoked."
TOO_MANY = "Too many wrong keys from this address; try again in a quarter of an hour."


@dataclass(frozen=True)
class Caller:
    """Who asks, and when: the clock is read here, once a request."""

    key: ClientKey
    now: datetime


class KeyWith(HttpBearer):
    """Lets in a key that reaches one of these scopes; who asks is `request.auth` then."""

    def __init__(self, *scopes: KeyScope) -> None:
        super().__init__()
        self.scopes = scopes

    def __call__(self, request: HttpRequest) -> Caller:
        """Return the key that is shown, or say why it opens nothing."""
        caller: Caller | None = super().__call__(request)
        if caller is None:
            raise NotSo(401, NO_KEY, WWW_Authenticate="Bearer")
        return caller

    def authenticate(self, request: HttpRequest, token: str) -> Caller:
        """Find the key, see how far it reaches, note that it was used."""
        key = key_shown(token.strip())
        if key is None:
            raise _wrong(request)
        if not any(key.may(scope) for scope in self.scopes):
            needed = " or ".join(self.scopes)
            said = f"This key is for {', '.join(key.scopes)}; this needs one for {needed}."
            told = f'Bearer error="insufficient_scope", scope="{needed}"'
            raise NotSo(403, said, WWW_Authenticate=told)
        caller = Caller(key, timezone.now())
        note_use(key, caller.now)
        return caller


def caller_of(request: HttpRequest) -> Caller:
    """Return who was let in."""
    caller: Caller = request.auth  # type: ignore[attr-defined]  # put there by the library
    return caller


def _wrong(request: HttpRequest) -> NotSo:
    """Count one more wrong key from this address; return what it is told."""
    place = f"wrong-keys:{request.META.get('REMOTE_ADDR', '')}"
    cache.add(place, 0, WAIT.total_seconds())
    try:
        wrong = cache.incr(place)
    except ValueError:  # it ran out between the two
        wrong = 1
    if wrong > MOST_WRONG:
        return NotSo(429, TOO_MANY, Retry_After=str(int(WAIT.total_seconds())))
    return NotSo(401, WRONG_KEY, WWW_Authenticate='Bearer error="invalid_token"')
