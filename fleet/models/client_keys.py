"""Keys by which other programs ask and book: a web shop, a phone line, a telematics gateway."""

from hashlib import sha256

from django.db import models

from fleet.models.people import Person
from fleet.models.places import Shop


class KeyScope(models.TextChoices):
    """What a key is for."""

    READ = "read", "read: whether machines may go out"
    DESK = "desk", "desk: that, and bookings made, moved and called off"
    READINGS = "readings", "readings: what meters show, sent in"


OFFERED = (KeyScope.READ, KeyScope.DESK, KeyScope.READINGS)
"""Scopes that open something."""

REACH = {
    KeyScope.READ: {KeyScope.READ},
    KeyScope.DESK: {KeyScope.DESK, KeyScope.READ},
    KeyScope.READINGS: {KeyScope.READINGS},
}
"""Scope -> all that a key with it may do."""


def digest_of(word: str) -> str:
    """Return what is kept of a key.

    One round of SHA-256 is enough for 256 bits by chance; slow hashes are for what people think up.
    """
    return sha256(word.encode("utf-8", "replace")).hexdigest()


class ClientKey(models.Model):
    """One client's key; of the key itself only a digest is kept, so that no copy of it leaks.

    answers: who answers for what comes by it.  Their name stands on bookings made with the key;
    without one it cannot go against a block, since such a decision wants a name.
    """

    name = models.CharField(max_length=80, help_text="the client: web shop, phone line")
    shop = models.ForeignKey(
        Shop, models.PROTECT, null=True, blank=True, related_name="client_keys",
        help_text="empty: machines of every shop",
    )  # fmt: skip
    scopes = models.JSONField(default=list, help_text="list of what it is for")
    digest = models.CharField(max_length=64, unique=True, help_text="SHA-256 of the key, in hex")
    hint = models.CharField(max_length=16, help_text="its first characters, to tell keys apart")
    answers = models.ForeignKey(
        Person, models.PROTECT, null=True, blank=True, related_name="client_keys",
        help_text="who answers for what comes by it",
    )  # fmt: skip
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        Person, models.PROTECT, null=True, blank=True, related_name="+",
        help_text="empty: a command",
    )  # fmt: skip
    last_used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)
    revoked_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    form_key = models.CharField(max_length=40, null=True, blank=True, unique=True)

    class Meta:
        verbose_name = "client key"
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return f"{self.name} ({self.hint}…)"

    def may(self, scope: KeyScope) -> bool:
        """Tell whether the key reaches so far."""
        return any(scope in REACH[KeyScope(one)] for one in self.scopes)


class KeptAnswer(models.Model):
    """What a client was answered to one `Idempotency-Key`: asked again, it hears the same.

    After the Internet draft "The Idempotency-Key HTTP Header Field" of the IETF's HTTPAPI group.
    asked: a digest of the request, since the same word with another request is a mistake.
    """

    client = models.ForeignKey(ClientKey, models.PROTECT, related_name="answers_kept")
    word = models.CharField(max_length=200, help_text="the client's Idempotency-Key")
    asked = models.CharField(max_length=64, help_text="SHA-256 of method, address and body")
    status = models.PositiveSmallIntegerField(default=0)
    body = models.JSONField(default=dict)
    at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["client", "word"], name="one_answer_a_word")]

    def __str__(self) -> str:
        return f"{self.client}: {self.word}"
