"""Services of the past come into the book in one sweep.  Now is Monday noon, 2 March 2026."""

from datetime import timedelta

import pytest

from fleet.actions.put_in_last_done import LastService, PutIn, Said, put_in_last_done
from fleet.models import LastDoneAnswer, LoggedChange, Pin, ServiceRecord
from fleet.work_keys import service_key
from tests import factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db

ANSWERS = LastDoneAnswer.Answer
A_MONTH = timedelta(days=30)


@pytest.fixture
def line():
    meter = factories.Meter()
    return meter, factories.Interval(makeup=meter.machine.makeup).service


def put_in(services=(), said=(), now=NOON):
    return put_in_last_done(services, said, by=None, now=now)


def test_a_service_stands_in_the_book_with_what_the_meter_showed(line):
    meter, service = line
    done = LastService(meter.machine, service, NOON - A_MONTH, meter, 1400.0, "page-1")
    assert put_in([done]) == PutIn(1, 0)
    record = ServiceRecord.objects.get()
    assert (record.done_at, record.entered_at) == (NOON - A_MONTH, NOON)
    assert record.meters.get().value == 1400.0


def test_sent_twice_it_is_one_entry_and_so_is_the_same_moment_by_another_form(line):
    meter, service = line
    for key in ("page-1", "page-1", "page-2"):
        put_in([LastService(meter.machine, service, NOON - A_MONTH, form_key=key)])
    assert ServiceRecord.objects.count() == 1


def test_an_answer_given_again_adds_nothing_and_a_new_one_is_logged(line):
    meter, service = line
    assert put_in(said=[Said(meter.machine, service, ANSWERS.UNKNOWN)]) == PutIn(0, 1)
    assert put_in(said=[Said(meter.machine, service, ANSWERS.UNKNOWN)]) == PutIn(0, 0)
    assert not LoggedChange.objects.exists()
    put_in(said=[Said(meter.machine, service, ANSWERS.NEVER)], now=NOON + A_MONTH)
    assert LastDoneAnswer.objects.count() == 2
    change = LoggedChange.objects.get()
    assert change.machine == meter.machine
    assert (change.values[0]["old"], change.values[0]["new"]) == (
        "not known: look at it first", "never done",
    )  # fmt: skip


def test_a_pin_that_the_service_has_served_is_lifted(line):
    meter, service = line
    key = service_key(meter.machine.pk, service.pk)
    before = NOON - 2 * A_MONTH
    Pin.objects.create(
        machine=meter.machine, work_key=key, day=TODAY, at=before, by=factories.Person()
    )
    put_in([LastService(meter.machine, service, NOON - A_MONTH)])
    assert Pin.objects.get().lifted_at == NOON


def test_any_number_takes_the_same_queries(line, django_assert_max_num_queries):
    service = line[1]
    many = [
        LastService(meter.machine, service, NOON - A_MONTH, meter, 10.0)
        for meter in factories.Meter.create_batch(12)
    ]
    with django_assert_max_num_queries(25):
        put_in(many)
    assert ServiceRecord.objects.count() == 12
