"""Readings taken at the door, and put right."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from django.db import connection, transaction

from fleet.actions.take_readings import (
    NewReading,
    ReadingRefused,
    check_reading,
    take_reading,
)
from fleet.changed_facts import facts_changed
from fleet.models import Meter, Reading
from fleet.queries.standing_readings import standing
from fleet.refusal import Refusal
from fleet.validation import ReadingAnswer, ReadingReason
from tests import factories
from tests.factories import NOON

LATER = NOON + timedelta(days=2)


@pytest.fixture
def meter(db):
    machine = factories.Machine(tag="Q-12", yard__time_zone="America/Denver")
    return factories.Meter(machine=machine, first_value=0)


@pytest.fixture
def read(meter):
    """412.0 h on Monday; the next reading is typed on Wednesday."""
    return factories.Reading(meter=meter, value=412.0)


def typed(meter, value, **more):
    more = {"read_at": LATER, "kind": meter.kind} | more
    return NewReading(machine=meter.machine, value=value, **more)


def test_a_fine_reading_is_taken_and_told(read):
    told = []

    def hear(machine_ids, **kwargs):
        told.append(machine_ids)

    facts_changed.connect(hear)
    reading = take_reading(typed(read.meter, 420.5, by=factories.Person()), LATER)
    facts_changed.disconnect(hear)
    assert (reading.meter, reading.value, reading.entered_at) == (read.meter, 420.5, LATER)
    assert told == [{read.meter.machine_id}]


def test_an_odd_reading_is_not_taken_and_answered_with_its_choices(read):
    with pytest.raises(ReadingRefused) as refused:
        take_reading(typed(read.meter, 214.0), LATER)
    verdict = refused.value.verdict
    assert verdict.reason is ReadingReason.BACKWARDS
    assert verdict.sentence.startswith("Q-12 showed 412.0 h on Mon 2 Mar; 214.0 h would be 198 h")
    assert verdict.choices == (
        ReadingAnswer.MISTYPED,
        ReadingAnswer.SWAPPED,
        ReadingAnswer.REALLY_SO,
    )
    assert Reading.objects.count() == 1


def test_mistyped_leaves_it_to_be_typed_again(read):
    with pytest.raises(ReadingRefused):
        take_reading(typed(read.meter, 214.0), LATER, ReadingAnswer.MISTYPED)
    assert Reading.objects.count() == 1


def test_really_so_is_taken_and_marked(read):
    reading = take_reading(typed(read.meter, 214.0), LATER, ReadingAnswer.REALLY_SO)
    assert reading.really_so
    assert reading.value == 214.0


def test_what_was_meant_is_taken_instead(read):
    reading = take_reading(typed(read.meter, 4130.0), LATER, ReadingAnswer.MEANT)
    assert (reading.value, reading.really_so) == (413.0, False)


def test_a_swapped_meter_goes_on_where_the_old_one_stopped(read):
    reading = take_reading(typed(read.meter, 14.0), LATER, ReadingAnswer.SWAPPED)
    read.meter.refresh_from_db()
    assert (read.meter.last_value, read.meter.ending) == (412.0, Meter.Ending.SWAPPED)
    assert reading.meter.fitted_at == read.meter.removed_at
    assert (reading.value, reading.meter.first_value) == (14.0, 0.0)


def test_a_swap_takes_what_was_told_of_it(read):
    new = typed(
        read.meter, 214.0, old_last=415.0, new_first=210.0, swapped_at=NOON + timedelta(days=1)
    )
    reading = take_reading(new, LATER, ReadingAnswer.SWAPPED)
    read.meter.refresh_from_db()
    assert (read.meter.last_value, reading.meter.first_value) == (415.0, 210.0)
    assert read.meter.removed_at == NOON + timedelta(days=1)


def test_a_swap_that_cannot_be_leaves_everything_as_it_was(read):
    """214 h in two days from 0: the new meter is judged as well."""
    with pytest.raises(ReadingRefused) as refused:
        take_reading(typed(read.meter, 214.0), LATER, ReadingAnswer.SWAPPED)
    assert refused.value.sentence.startswith("With a new meter: Q-12 showed 0.0 h when its meter")
    assert refused.value.verdict.choices == (
        ReadingAnswer.MISTYPED,
        ReadingAnswer.SWAPPED,
        ReadingAnswer.REALLY_SO,
    )
    assert Meter.objects.count() == 1
    read.meter.refresh_from_db()
    assert read.meter.removed_at is None


def test_a_rollover_begins_again_at_nought(meter):
    factories.Reading(meter=meter, value=9_990.0)
    reading = take_reading(typed(meter, 4.0), LATER, ReadingAnswer.ROLLED_OVER)
    meter.refresh_from_db()
    assert (meter.last_value, meter.ending) == (10_000.0, Meter.Ending.ROLLED_OVER)
    assert (reading.meter.first_value, reading.value) == (0.0, 4.0)


def test_an_answer_that_was_not_offered_is_no_answer(read):
    with pytest.raises(ReadingRefused):
        take_reading(typed(read.meter, 214.0), LATER, ReadingAnswer.ROLLED_OVER)
    ahead = typed(read.meter, 500.0, read_at=LATER + timedelta(days=9))
    with pytest.raises(ReadingRefused):
        take_reading(ahead, LATER, ReadingAnswer.REALLY_SO)


def test_another_value_for_the_same_time_takes_the_others_place_if_told(read):
    new = typed(read.meter, 411.0, read_at=NOON)
    with pytest.raises(ReadingRefused):
        take_reading(new, LATER)
    reading = take_reading(new, LATER, ReadingAnswer.REPLACES)
    assert reading.corrects == read
    assert list(standing()) == [reading]


def test_the_same_reading_twice_is_one(read):
    assert check_reading(typed(read.meter, 412.0, read_at=NOON), LATER).known
    assert take_reading(typed(read.meter, 412.0, read_at=NOON), LATER) == read
    assert Reading.objects.count() == 1


def test_a_form_sent_twice_is_one_reading(read):
    """The second click comes a second later, so it is no duplicate by its time."""
    first = take_reading(typed(read.meter, 420.0, form_key="k"), LATER)
    second = typed(read.meter, 420.0, form_key="k", read_at=LATER + timedelta(seconds=1))
    assert take_reading(second, LATER + timedelta(seconds=1)) == first
    assert Reading.objects.count() == 2


@pytest.mark.parametrize(
    ("change", "reason", "words"),
    [
        ({"read_at": NOON + timedelta(days=5)}, ReadingReason.FUTURE, "is in the future"),
        ({"kind": "distance"}, ReadingReason.NO_METER, "has no odometer; it has an hour meter"),
        (
            {"read_at": NOON - timedelta(days=900)},
            ReadingReason.BEFORE_FITTED,
            "was fitted with an hour",
        ),
    ],
)
def test_what_no_answer_can_mend(read, change, reason, words):
    for answer in ("", *ReadingAnswer):
        with pytest.raises(ReadingRefused, match=words) as refused:
            take_reading(typed(read.meter, 420.0, **change), LATER, answer)
        assert refused.value.verdict.reason is reason


def test_checking_takes_the_same_queries_whatever_the_history(read, django_assert_max_num_queries):
    for day in range(1, 40):
        factories.Reading(meter=read.meter, read_at=NOON - timedelta(days=day), value=412.0 - day)
    new = typed(read.meter, 420.0)
    with django_assert_max_num_queries(5):
        assert check_reading(new, LATER).fine


def in_threads(number, work):
    """Run work(i) in threads of their own connection; return results and exceptions."""

    def run(i):
        try:
            return work(i)
        except Refusal as refused:
            return refused
        finally:
            connection.close()

    with ThreadPoolExecutor(number) as pool:
        return list(pool.map(run, range(number)))


@pytest.mark.django_db(transaction=True)
def test_a_click_doubled_in_the_same_moment_is_one_reading():
    meter = factories.Meter()
    new = typed(meter, 300.0, form_key="clicked")
    readings = in_threads(8, lambda _: take_reading(new, LATER))
    assert len({reading.pk for reading in readings}) == 1
    assert Reading.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_of_two_people_who_contradict_each_other_one_is_asked():
    """Both type at once: 300 h now, and 250 h a minute later; together they cannot be right."""
    meter = factories.Meter()
    news = [typed(meter, 300.0 - 50 * i, read_at=LATER + timedelta(minutes=i)) for i in range(2)]
    results = in_threads(2, lambda i: take_reading(news[i], LATER + timedelta(hours=1)))
    assert Reading.objects.count() == 1
    assert sum(isinstance(result, ReadingRefused) for result in results) == 1


@pytest.mark.django_db(transaction=True)
def test_a_swap_told_twice_at_once_is_one_swap():
    meter = factories.Meter()
    factories.Reading(meter=meter, value=412.0)
    new = typed(meter, 14.0)
    readings = in_threads(4, lambda _: take_reading(new, LATER, ReadingAnswer.SWAPPED))
    assert Meter.objects.count() == 2
    assert len({reading.pk for reading in readings}) == 1


@pytest.mark.django_db(transaction=True)
def test_a_crash_after_the_reading_leaves_nothing_and_the_repeat_takes_it_once():
    meter = factories.Meter()
    new = typed(meter, 300.0, form_key="k")

    def crash():
        with transaction.atomic():
            take_reading(new, LATER)
            raise RuntimeError("the power went")

    with pytest.raises(RuntimeError):
        crash()
    assert Reading.objects.count() == 0
    take_reading(new, LATER)
    take_reading(new, LATER)
    assert Reading.objects.count() == 1
