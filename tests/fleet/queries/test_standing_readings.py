"""Standing readings and the histories that validation judges by."""

from datetime import timedelta

from fleet.queries.standing_readings import histories, last_readings, readings_of, standing
from fleet.validation import Seen
from fleet.validation.meter_history import STEPS_BACK
from tests import factories
from tests.factories import NOON

DAY = timedelta(days=1)


def test_a_corrected_or_struck_reading_does_not_stand(db):
    meter = factories.Meter()
    first = factories.Reading(meter=meter, value=1.0)
    better = factories.Reading(meter=meter, value=2.0, corrects=first)
    struck = factories.Reading(meter=meter, value=3.0, read_at=NOON + DAY)
    factories.Reading(meter=meter, value=3.0, read_at=NOON + DAY, corrects=struck, void=True)
    assert list(standing()) == [better]
    assert last_readings([meter.machine_id]) == {meter.pk: better}
    assert readings_of(meter.machine).count() == 4


def test_a_history_has_what_stands_around_a_time(db, django_assert_num_queries):
    meter = factories.Meter(first_value=5.0)
    for day in range(-30, 10):
        factories.Reading(meter=meter, value=100.0 + day, read_at=NOON + day * DAY)
    other = factories.Reading(value=7.0)
    with django_assert_num_queries(4):
        known = histories([meter, other.meter], NOON, NOON + 2 * DAY)
    seen = known[meter.pk].seen
    assert seen[0] == Seen(meter.fitted_at, 5.0, "fitted")
    assert len(seen) == 1 + STEPS_BACK + 3 + 1  # fitting, before, within, one after
    assert known[meter.pk].after(NOON + 2 * DAY).value == 103.0
    assert known[other.meter.pk].before(NOON).value == 7.0


def test_a_corrected_value_is_known_but_is_no_neighbour(db):
    first = factories.Reading(value=412.0)
    factories.Reading(meter=first.meter, value=421.0, corrects=first)
    known = histories([first.meter], NOON, NOON)[first.meter_id]
    assert known.knows(412.0, NOON, NOON)
    assert known.before(NOON).value == 421.0


def test_a_meter_taken_off_has_its_last_value_as_neighbour(db):
    meter = factories.Meter(removed_at=NOON, last_value=500.0)
    known = histories([meter], NOON - DAY, NOON - DAY)[meter.pk]
    assert known.after(NOON - DAY) == Seen(NOON, 500.0, "taken off")
