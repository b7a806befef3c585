"""Hand-overs of before: one whose reading an earlier press kept is told which form that was."""

from datetime import timedelta
from importlib import import_module
from types import SimpleNamespace

import pytest
from django.apps import apps
from django.db import connection

from fleet.models import HandOver
from fleet.queries.handed_readings import readings_at
from tests import factories as make
from tests.factories import NOON

fill = import_module("fleet.migrations.0053_fill_forms_of_hand_overs").fill
EARLIER = NOON - timedelta(minutes=20)


def handed(*readings, at=NOON):
    row = HandOver.objects.create(booking=make.Booking(), direction="out", at=at)
    row.readings.set(readings)
    return row


@pytest.mark.django_db
def test_the_reading_of_an_earlier_press_is_its_own_from_now_on():
    early = make.Reading(read_at=EARLIER, source="counter", form_key="k1-hours")
    row = handed(early)
    assert readings_at(row) == []
    fill(apps, SimpleNamespace(connection=connection))
    row.refresh_from_db()
    assert row.form_key == "k1"
    assert readings_at(row) == [early]


@pytest.mark.django_db
def test_a_reading_of_another_hand_over_or_another_page_stays_theirs():
    of_return = make.Reading(read_at=EARLIER, source="counter", form_key="k1-hours")
    round_ = make.Reading(read_at=EARLIER, source="round", form_key="k2-hours")
    handed(of_return, at=EARLIER)
    rows = [handed(of_return), handed(round_)]
    fill(apps, SimpleNamespace(connection=connection))
    assert list(HandOver.objects.filter(pk__in=[row.pk for row in rows], form_key="")) == rows
    assert [readings_at(row) for row in rows] == [[], []]
