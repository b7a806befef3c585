"""Seasons that bear on the coming days.  Today is Monday 2 March 2026."""

import pytest

from scheduling.queries.machine_use import machine_use
from scheduling.queries.seasons_ahead import seasons_ahead
from tests import factories as make
from tests.scheduling.cases import NOW

pytestmark = pytest.mark.django_db


def said(machine):
    return seasons_ahead(machine_use(machine, NOW))


def test_those_that_touch_the_coming_120_days_are_named():
    make.SeasonWeight(reason="haying", weight=2.5, first_month=6, first_day=12,
                      last_month=8, last_day=28)  # fmt: skip
    make.SeasonWeight(reason="shipping", first_month=9, last_month=10)  # too far ahead
    make.SeasonWeight(reason="storage", weight=0, first_month=12, last_month=3, last_day=5)
    make.SeasonWeight(reason="calving", makeup=make.MakeUp())  # other machines
    machine = make.Machine()
    make.Meter(machine=machine)
    assert said(machine) == [
        "haying, 12 Jun to 28 Aug: 2.5 times the usual use",
        "storage, 1 Dec to 5 Mar: no use",
    ]


def test_without_seasons_nothing_is_said():
    assert said(make.Machine()) == []
