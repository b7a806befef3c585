"""A reading that comes with a form: once, and put right when it is typed again."""

from datetime import timedelta

import pytest

from fleet.actions.read_at_hand_over import read_with_form
from fleet.models import Reading
from fleet.queries.judge_readings import NewReading, ReadingRefused
from fleet.queries.standing_readings import standing
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


@pytest.fixture
def read():
    meter = factories.Meter()
    factories.Reading(meter=meter, value=100.0, read_at=NOON - timedelta(days=3))

    def typed(value, answer="", key="k-hours"):
        new = NewReading(
            machine=meter.machine, kind="hours", value=value, read_at=NOON, form_key=key
        )
        return read_with_form([new], {"hours": answer}, NOON)[0]

    return typed


def test_the_same_form_with_the_same_value_is_one_reading(read):
    assert read(110.0) == read(110.0)
    assert Reading.objects.count() == 2


def test_another_value_puts_the_first_right_and_both_stay_on_record(read):
    first, second = read(112.0), read(110.0)
    assert second.corrects == first
    assert [one.value for one in standing().order_by("value")] == [100.0, 110.0]


def test_typed_a_third_time_the_latest_is_put_right(read):
    first, second, third = read(112.0), read(110.0), read(111.0)
    assert (second.corrects, third.corrects) == (first, second)


def test_a_correction_is_judged_like_any_reading(read):
    read(110.0)
    with pytest.raises(ReadingRefused):
        read(50.0)
    assert read(50.0, "really_so").really_so


def test_an_odd_one_is_refused_with_choices(read):
    with pytest.raises(ReadingRefused) as no:
        read(90.0)
    assert "swapped" in no.value.verdict.choices
