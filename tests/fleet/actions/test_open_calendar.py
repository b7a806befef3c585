"""A person's calendar address: made once, made anew, closed."""

import pytest

from fleet.actions.open_calendar import calendar_key, close_calendar, new_calendar_key
from fleet.models import CalendarKey
from fleet.queries.calendar_holders import holder_of, token_of
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


@pytest.fixture
def person():
    return factories.Mechanic()


def test_asked_twice_it_is_one_address(person):
    assert calendar_key(person, now=NOON) == calendar_key(person, now=NOON)
    assert holder_of(token_of(person.calendar_key)) == person


def test_made_anew_the_old_one_opens_nothing(person):
    old = token_of(calendar_key(person, now=NOON))
    new = token_of(new_calendar_key(person, now=NOON))
    assert (holder_of(old), holder_of(new)) == (None, person)
    assert CalendarKey.objects.count() == 1


def test_closed_it_opens_nothing(person):
    token = token_of(calendar_key(person, now=NOON))
    assert close_calendar(person)
    assert holder_of(token) is None
    assert not close_calendar(person)


def test_words_are_long_and_never_alike():
    words = {calendar_key(factories.Person(), now=NOON).word for _ in range(20)}
    assert len(words) == 20
    assert min(map(len, words)) >= 22  # 16 bytes in base64url
