"""Addresses in letters that do one act without signing in, signed with the site's key.

Each says what it is for and for which row, and nothing else opens with it (HMAC-SHA-256, RFC 2104).
Opening one shows a button and changes nothing: programs that look through mail open every link.
"""

from datetime import timedelta

from django.conf import settings
from django.core import signing
from django.urls import reverse

from scheduling.models import Notice

ANSWER, STOP = "evener.letter.answer", "evener.letter.stop"
LONGEST = timedelta(days=60)
"""How long such an address works."""


def answer_path(notice: Notice) -> str:
    """Return where the reader of a warning says that it is in hand, on this site."""
    return _path("letter-answer", ANSWER, notice)


def answer_url(notice: Notice) -> str:
    """Return the same as an address for a letter."""
    return f"{settings.BASE_URL}{answer_path(notice)}"


def stop_url(notice: Notice) -> str:
    """Return where the reader of a letter has no more of its kind by mail (RFC 8058)."""
    return f"{settings.BASE_URL}{_path('letter-stop', STOP, notice)}"


def notice_of(token: str, purpose: str) -> Notice | None:
    """Return the notice of an address; None where it is forged, of another purpose or too old."""
    try:
        mark = signing.TimestampSigner(salt=purpose, sep=".").unsign(token, max_age=LONGEST)
    except signing.BadSignature:
        return None
    return Notice.objects.select_related("person", "shop").filter(mark=mark).first()


def _path(name: str, purpose: str, notice: Notice) -> str:
    token = signing.TimestampSigner(salt=purpose, sep=".").sign(notice.mark.hex)
    return reverse(name, args=[token])
