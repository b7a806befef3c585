"""A program with a key, asking beside a counter that is open."""

from dataclasses import dataclass

from django.test import Client

from fleet.actions.make_keys import NewKey, make_key
from fleet.models import ClientKey
from tests.factories import NOON


@dataclass
class Program:
    """A client of the interface."""

    key: ClientKey
    word: str

    def get(self, address, **asked):
        """Ask with a GET."""
        return Client().get(address, asked, HTTP_AUTHORIZATION=f"Bearer {self.word}")

    def send(self, method, address, body=None, word=None):
        """Send JSON, with an Idempotency-Key if one is given."""
        more = {"HTTP_IDEMPOTENCY_KEY": word} if word else {}
        return getattr(Client(), method)(
            address,
            body if body is not None else {},
            content_type="application/json",
            HTTP_AUTHORIZATION=f"Bearer {self.word}",
            **more,
        )


def program(*scopes, shop=None, answers=None):
    """Return a program with a key for these."""
    key, word = make_key(NewKey("web shop", scopes, shop, answers), by=None, now=NOON)
    return Program(key, word)
