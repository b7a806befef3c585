"""Calendar addresses: the word of a person, signed, and whose it is."""

from django.core import signing

from fleet.models import CalendarKey, Person

SALT = "evener.calendar"
"""Keeps these signatures apart from all others that the site's secret key makes."""


def token_of(key: CalendarKey) -> str:
    """Return what stands in the address: the word and its signature (HMAC-SHA-256, RFC 2104)."""
    return _signer().sign(key.word)


def holder_of(token: str) -> Person | None:
    """Return whose address this is; None where it is forged, made anew since, or theirs no more."""
    try:
        word = _signer().unsign(token)
    except signing.BadSignature:
        return None
    key = CalendarKey.objects.filter(word=word, person__is_active=True)
    found = key.select_related("person__shop").first()
    return found.person if found else None


def _signer() -> signing.Signer:
    return signing.Signer(salt=SALT, sep=".")
