"""The meters that are read at a hand-over."""

from datetime import timedelta

import pytest

from fleet.queries.dials import dials_of
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


def test_the_fitted_meters_with_what_they_showed_last(django_assert_num_queries):
    meter = factories.Meter(machine__yard__units="metric")
    factories.Reading(meter=meter, value=5.0, read_at=NOON - timedelta(days=1))
    factories.Reading(meter=meter, value=7.5)
    far = factories.Meter(machine=meter.machine, kind="distance")
    factories.Meter(
        machine=meter.machine, kind="cycles", removed_at=NOON, last_value=3.0, ending="swapped"
    )
    with django_assert_num_queries(2):
        odometer, hours = dials_of(meter.machine)
    assert (odometer.meter, odometer.last, odometer.unit) == (far, None, "km")
    assert hours.show(hours.last.value) == "7.5 h"
    assert odometer.parse("2") == 2000.0
