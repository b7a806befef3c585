from datetime import timedelta

import pytest

from fleet.models import Pin, PutOff
from scheduling.models import DuePoint, Plan, PlannedJob, PlannedWork
from scheduling.plan.decided import DecidedSpot, load_decided
from scheduling.plan.horizon import load_horizon
from scheduling.plan.workers import load_workers
from tests import factories as make
from tests.factories import key_of
from tests.scheduling.cases import NOW, TODAY, ago

pytestmark = pytest.mark.django_db


def decided(shop):
    horizon = load_horizon(shop, NOW)
    return load_decided(shop, horizon, load_workers(shop, horizon))


def day(ahead):
    return TODAY + timedelta(days=ahead)


@pytest.fixture
def machine(yard):
    return make.Machine(yard=yard)


def test_pins_that_hold(shop, mechanic, machine):
    stranger = make.Mechanic()
    fields = {"machine": machine, "by": mechanic, "at": NOW}
    Pin.objects.create(work_key="a", day=day(2), mechanic=mechanic, **fields)
    Pin.objects.create(work_key="b", day=day(2), mechanic=stranger, **fields)
    Pin.objects.create(work_key="c", day=day(90), **fields)
    Pin.objects.create(work_key="d", day=day(-1), **fields)  # its day is over
    Pin.objects.create(work_key="e", day=day(2), lifted_at=NOW, **fields)
    found = decided(shop)
    assert found.pins == {"a": DecidedSpot(2, "ada"), "b": DecidedSpot(2, None)}
    assert found.later == {"c": day(90)}
    assert found.pinned == {"a", "b", "c"}


def stand(shop, machine, mechanic, key, ahead):
    plan, _ = Plan.objects.get_or_create(
        shop=shop, defaults={"made_at": NOW, "first_day": TODAY, "days": 14}
    )
    where = {"plan": plan, "machine": machine}
    job = PlannedJob.objects.create(day=day(ahead), mechanic=mechanic, minutes=60, **where)
    PlannedWork.objects.create(job=job, work_key=key, minutes=60, **where)


def test_own_plan_stands_before_what_was_published(shop, mechanic, machine):
    jobs = [
        {"work_key": key, "day": day(ahead).isoformat(), "mechanic": name}
        for key, ahead, name in [
            ("a", 1, "ada"), ("b", 1, "ada"), ("gone", 1, "nobody"), ("past", -1, "ada"),
        ]
    ]  # fmt: skip
    shop.releases.create(at=ago(1), first_day=day(-1), last_day=day(9), jobs=jobs)
    stand(shop, machine, mechanic, "a", 4)
    assert decided(shop).stood == {"a": DecidedSpot(4, "ada"), "b": DecidedSpot(1, "ada")}


def test_work_put_off_no_longer_stands_on_its_day(shop, mechanic, machine):
    stand(shop, machine, mechanic, "a", 0)
    stand(shop, machine, mechanic, "b", 5)
    for key in ("a", "b"):
        put_off = {"machine": machine, "work_key": key, "day": TODAY, "by": mechanic, "at": NOW}
        PutOff.objects.create(reason="no filter", **put_off)
    found = decided(shop)
    assert found.stood == {"b": DecidedSpot(5, "ada")}  # planned again since
    assert found.put_off["a"] == (TODAY, "no filter")


@pytest.mark.parametrize(("done_days_ago", "stands"), [(3, True), (2, False), (1, False)])
def test_work_done_since_it_was_put_off_is_not_put_off_now(
    shop, mechanic, machine, done_days_ago, stands
):
    service = make.Service(code="oil")
    key = key_of(machine, "oil")
    PutOff.objects.create(
        machine=machine, work_key=key, day=day(-2), reason="no filter", by=mechanic, at=NOW
    )
    DuePoint.objects.create(machine=machine, service=service, last_done_on=day(-done_days_ago))
    assert (key in decided(shop).put_off) == stands
