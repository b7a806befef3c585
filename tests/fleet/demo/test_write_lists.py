"""The demo's lists are told backwards from its book, and hang together with it."""

from datetime import timedelta

import pytest

from fleet.demo.roll import roll
from fleet.models import (
    ClosedDay,
    Hold,
    KeptDay,
    KeptWork,
    PutOff,
    Service,
    ServiceRecord,
    Shop,
)
from fleet.work_keys import read_key, service_key
from tests.fleet.demo.conftest import TODAY

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]


def local_day(moment):
    return moment.astimezone(Shop.objects.get().zone).date()


def test_a_year_of_open_days_is_kept_and_today_is_left_to_the_night():
    days = set(KeptDay.objects.values_list("day", flat=True))
    assert min(days) >= TODAY - timedelta(days=365)
    assert max(days) == TODAY - timedelta(days=1)
    assert len(days) > 290  # six days a week less the holidays
    assert not days & set(ClosedDay.objects.values_list("day", flat=True))


def test_most_of_the_work_was_done_on_its_day_and_some_was_not():
    done = {
        (machine, service, local_day(at))
        for machine, service, at in ServiceRecord.objects.values_list(
            "machine", "service", "done_at"
        )
    }
    listed = list(KeptWork.objects.values_list("machine", "service", "kept_day__day"))
    share = sum(entry in done for entry in listed) / len(listed)
    assert len(listed) > 300
    assert 0.82 < share < 0.97


def test_what_was_put_off_stood_on_the_list_of_that_day_and_was_done_later():
    put_off = list(PutOff.objects.select_related("machine"))
    assert len(put_off) > 10
    for row in put_off:
        assert KeptWork.objects.filter(work_key=row.work_key, kept_day__day=row.day).exists()
        key = read_key(row.work_key)
        after = ServiceRecord.objects.filter(
            machine=key.machine, service=key.service, done_at__date__gt=row.day
        )
        assert key.machine == row.machine_id
        assert after.exists()
        assert row.at.date() >= row.day


def test_work_written_down_late_stood_on_the_list_of_the_next_day():
    late = [
        record
        for record in ServiceRecord.objects.select_related("machine", "service")
        if local_day(record.entered_at) > local_day(record.done_at)
    ]
    assert late
    for record in late:
        key = service_key(record.machine.pk, record.service.pk)
        days = KeptWork.objects.filter(work_key=key).values_list("kept_day__day", flat=True)
        assert local_day(record.entered_at) in set(days)


def test_days_lived_through_later_get_lists_and_kept_ones_stay():
    shop = Shop.objects.get()
    real = KeptDay.objects.create(
        shop=shop, day=TODAY, kept_at=shop.span_of(TODAY)[0], minutes=0, minutes_there=0
    )
    before = KeptDay.objects.count()
    roll(TODAY + timedelta(days=9))
    assert KeptDay.objects.count() > before
    assert not real.work.exists()


def test_what_a_person_wrote_meanwhile_stands_on_no_invented_list():
    held = Hold.objects.get().machine  # nobody in the simulation touches it
    at = Shop.objects.get().span_of(TODAY + timedelta(days=2))[0] + timedelta(hours=10)
    service = Service.objects.first()
    mine = {"machine": held, "service": service, "done_at": at, "entered_at": at}
    ServiceRecord.objects.create(form_key="mine", **mine)
    roll(TODAY + timedelta(days=9))
    assert not KeptWork.objects.filter(machine=held, kept_day__day__gte=TODAY).exists()
