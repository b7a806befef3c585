"""Which forecasts count.  Today is Monday 2 March 2026."""

from datetime import timedelta

import pytest

from scheduling.hindsight.judged_forecasts import (
    KEPT_DAYS,
    forget_old,
    judged_forecasts,
    year_judged,
)
from scheduling.models import KeptForecast
from tests import factories as make
from tests.scheduling.hindsight.forecast_case import OPEN, TODAY, kept

pytestmark = pytest.mark.django_db


@pytest.fixture
def machine():
    return make.Machine()


def test_a_year_of_forecasts_whose_120_days_are_over():
    first, last = year_judged(TODAY)
    assert (TODAY - last).days == 121
    assert (last - first).days == 364


@pytest.mark.parametrize(
    ("days_ago", "counts"), [(120, False), (121, True), (485, True), (486, False)]
)
def test_a_forecast_counts_once_its_days_are_over_for_a_year(machine, days_ago, counts):
    kept(machine, make.Service(), days_ago)
    assert judged_forecasts(KeptForecast.objects.all(), TODAY).exists() == counts


@pytest.mark.parametrize("fields", [OPEN, {"outcome": "unread", "truth": None}])
def test_what_is_not_known_does_not_count(machine, fields):
    kept(machine, make.Service(), 200, **fields)
    assert not judged_forecasts(KeptForecast.objects.all(), TODAY).exists()


def test_old_ones_are_deleted_and_those_that_count_are_not(machine):
    for days_ago in (KEPT_DAYS + 1, KEPT_DAYS, 485):
        kept(machine, make.Service(), days_ago)
    assert forget_old(TODAY) == 1
    assert KeptForecast.objects.count() == 2
    assert forget_old(TODAY + timedelta(days=1)) == 1
