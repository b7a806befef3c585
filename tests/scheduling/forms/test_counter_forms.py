"""The counter's forms: days in order, neither past nor for ever."""

from datetime import timedelta

import pytest

from scheduling.forms.counter_forms import DaysForm
from tests.factories import TODAY


def days(first, last):
    form = DaysForm(
        {"first_day": TODAY + timedelta(days=first), "last_day": TODAY + timedelta(days=last)},
        today=TODAY,
    )
    form.is_valid()
    return dict(form.errors)


@pytest.mark.parametrize(("first", "last"), [(0, 0), (0, 366), (5, 9)])
def test_days_that_can_be_asked_for(first, last):
    assert days(first, last) == {}


@pytest.mark.parametrize(
    ("first", "last", "field"), [(-1, 3, "first_day"), (3, 2, "last_day"), (0, 367, "last_day")]
)
def test_days_that_cannot(first, last, field):
    assert list(days(first, last)) == [field]


def test_the_calendar_of_the_browser_begins_today():
    assert f'min="{TODAY}"' in str(DaysForm(today=TODAY)["first_day"])
