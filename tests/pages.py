"""What tests of pages share: signing in, the words of a page, a clock that stands at noon."""

import re
from html import unescape

import pytest
from django.utils import timezone

from tests import factories
from tests.factories import NOON


def words(response):
    """Return the words of a page as they are read, without markup; no-break spaces are spaces."""
    bare = re.sub(r"<[^>]+>", " ", response.content.decode())
    return _tight(unescape(bare))


def _tight(text):
    return re.sub(r" (?=[,.:;])", "", re.sub(r"\s+", " ", text))


def answer(response):
    """Return the first line of a page: the sentence that answers its question."""
    found = re.search(r'<p class="answer">(.*?)</p>', response.content.decode(), re.DOTALL)
    bare = re.sub(r"<[^>]+>", " ", unescape(found[1]))
    return _tight(bare).strip()


def sign_in(client, role="manager", shop=None):
    """Sign a new person of a role in and return them."""
    person = factories.Person(role=role, **({"shop": shop} if shop else {}))
    client.force_login(person)
    return person


@pytest.fixture
def at_noon(monkeypatch):
    """Let views read noon of 2 March 2026 from the clock."""
    monkeypatch.setattr(timezone, "now", lambda: NOON)
