"""Addresses of calendars of bookings: the word, signed, and what stands for it."""

from django.core import signing
from django.db.models import QuerySet

from fleet.models import FeedKey, Person
from fleet.queries.mine import shops_of

SALT = "evener.bookings"
"""Keeps these signatures apart from all others that the site's secret key makes."""


def feed_token(key: FeedKey) -> str:
    """Return what stands in the address: the word and its signature (HMAC-SHA-256, RFC 2104)."""
    return signing.Signer(salt=SALT, sep=".").sign(key.word)


def feed_of(token: str) -> FeedKey | None:
    """Return the key of an address; None where it is forged or was revoked."""
    try:
        word = signing.Signer(salt=SALT, sep=".").unsign(token)
    except signing.BadSignature:
        return None
    rows = FeedKey.objects.filter(word=word, revoked_at=None)
    return rows.select_related("shop", "yard", "machine__yard").first()


def feeds_of(person: Person) -> QuerySet[FeedKey]:
    """Return the addresses that stand in the shops of a person."""
    rows = FeedKey.objects.filter(shop__in=shops_of(person), revoked_at=None)
    return rows.select_related("shop", "yard", "machine", "made_by")
