"""Whose a calendar address is: only what the site itself signed opens anything."""

import pytest
from django.core.signing import Signer

from fleet.actions.open_calendar import calendar_key
from fleet.queries.calendar_holders import SALT, holder_of, token_of
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


def test_another_secret_key_signs_nothing_that_opens(settings):
    person = factories.Mechanic()
    token = token_of(calendar_key(person, now=NOON))
    settings.SECRET_KEY = "another"
    assert holder_of(token) is None


@pytest.mark.parametrize("salt", ["", "evener.other"])
def test_signature_made_for_something_else_opens_nothing(salt):
    key = calendar_key(factories.Mechanic(), now=NOON)
    assert holder_of(Signer(salt=salt or None, sep=".").sign(key.word)) is None
    assert holder_of(Signer(salt=SALT, sep=".").sign(key.word)) is not None


@pytest.mark.parametrize("token", ["", ".", "x", "x.y", "ä.ö"])
def test_nonsense_opens_nothing(token):
    assert holder_of(token) is None
