"""A day's list is a fact: kept once, with all of its work or not at all."""

import pytest
from django.db import IntegrityError

from fleet.actions.keep_day import DayList, keep_day
from fleet.models import KeptDay, KeptWork
from tests import factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db


def listed(*rows):
    return DayList(TODAY, 90, 480, rows)


def oil(machine):
    return KeptWork(machine=machine, work_key="m:41:7", title="Oil change", minutes=60)


def test_second_list_of_a_day_is_not_written():
    machine = factories.Machine()
    shop = machine.yard.shop
    kept = keep_day(shop, listed(oil(machine)), now=NOON)
    assert keep_day(shop, listed(), now=NOON) is None
    assert list(KeptWork.objects.values_list("kept_day", "title")) == [(kept.pk, "Oil change")]


def test_list_that_cannot_be_kept_whole_is_not_kept():
    machine = factories.Machine()
    with pytest.raises(IntegrityError):
        keep_day(machine.yard.shop, listed(oil(machine), oil(machine)), now=NOON)
    assert not KeptDay.objects.exists()
