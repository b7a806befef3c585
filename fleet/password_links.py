"""Links to a new password: signed, of one use, and over after a day.

Django's own tokens (HMAC over the number, the last sign-in, the kept password and the time), so
that nothing that opens anything is kept: a new password, a sign-in or a sign-out everywhere ends
all links made before.
"""

from typing import Any

from django.conf import settings
from django.contrib.auth.tokens import PasswordResetTokenGenerator
from django.urls import reverse

from fleet.models import Person, Role


class LinkTokens(PasswordResetTokenGenerator):
    """Tokens of those links; no other token of the site opens with them."""

    key_salt = "evener.new-password"

    def _make_hash_value(self, user: Any, timestamp: int) -> str:
        return f"{super()._make_hash_value(user, timestamp)}{user.signed_out_times}"


_tokens = LinkTokens()


def may_have_link(person: Person) -> bool:
    """Whether somebody signs in with a password at all: here still, no hand, nobody's lent one."""
    return person.is_active and person.role != Role.HAND and not person.from_outside


def link_for(person: Person) -> str:
    """Return the full address at which a person chooses a new password."""
    address = reverse("new-password", args=[person.pk, _tokens.make_token(person)])
    return f"{settings.BASE_URL}{address}"


def person_of_link(pk: int, token: str) -> Person | None:
    """Return whose link it is; None where it is forged, used, too old, or of somebody who left."""
    person = Person.objects.filter(pk=pk).first()
    if person is None or not may_have_link(person) or not _tokens.check_token(person, token):
        return None
    return person
