"""The random word in a person's calendar address: a new word, and the old address is dead."""

import secrets

from django.db import models

from fleet.models.people import Person


def new_word() -> str:
    """Return a word of 128 bits by chance (16 bytes, base64url; RFC 4648 section 5)."""
    return secrets.token_urlsafe(16)


class CalendarKey(models.Model):
    """One person's calendar address, as long as it stands.

    The word alone opens nothing: an address carries it signed with the site's secret key, so that
    who reads a copy of the database can neither use nor guess an address.
    """

    person = models.OneToOneField(Person, models.CASCADE, related_name="calendar_key")
    word = models.CharField(max_length=32, unique=True, default=new_word)
    made_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"calendar of {self.person}"
