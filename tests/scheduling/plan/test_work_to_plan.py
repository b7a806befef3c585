from datetime import date, timedelta

import pytest

from fleet.actions.decide_work import estimate
from fleet.work_keys import repair_key
from scheduling.plan.horizon import load_horizon
from scheduling.plan.work_to_plan import due_days, interval_days, load_work
from tests import factories as make
from tests.factories import key_of
from tests.scheduling.cases import NOW, TODAY, serviced, steady

pytestmark = pytest.mark.django_db


def work_of(shop, pinned=()):
    return load_work(shop, load_horizon(shop, NOW), NOW, set(pinned))


def test_what_is_due_in_reach_is_planned(shop, due_in, refreshed):
    near, _far = due_in(20), due_in(60)  # the horizon is 14 days, and 14 more are looked at
    refreshed()
    assert [work.machine for work in work_of(shop)] == [near.pk]


def test_pinned_work_is_planned_however_far_off(shop, due_in, refreshed):
    machine = due_in(60)
    refreshed()
    key = key_of(machine, "oil")
    assert [work.key for work in work_of(shop, [key])] == [key]


def test_a_service_is_planned_with_the_minutes_that_it_takes_here(shop, oil, due_in, refreshed):
    machine = due_in(20)
    refreshed()
    planned = work_of(shop)[0].minutes
    for _ in range(8):
        make.ServiceRecord(machine=machine, service=oil, done_at=NOW, minutes=planned + 30)
    other = make.Machine(yard=machine.yard)  # of another make-up: what it took counts there alone
    make.ServiceRecord(machine=other, service=oil, done_at=NOW, minutes=1000)
    assert work_of(shop)[0].minutes == planned + 20  # (4 x planned + 8 x (planned + 30)) / 12


def test_overdue_work_lies_behind_today(shop, yard, oil, due_in, refreshed):
    due_in(-5)
    machine = make.Machine(yard=yard)
    steady(machine)  # 40 h past its point at 4 h a day: about ten days
    make.Interval(service=oil, makeup=machine.makeup, every=80)
    serviced(machine, oil, 30)
    refreshed()
    by_date, by_use = work_of(shop)
    assert by_date.due == (-5, -5, -5)
    assert -12 < by_use.due[1] < -8


def row(**fields):
    dates = {"p10": None, "p50": None, "p90": None, "due_day": None}
    return {**dates, "state": "clear", "remaining": None, "rate_per_day": None, **fields}


def test_days_that_are_not_known_lie_far_ahead(shop):
    horizon = load_horizon(shop, NOW)
    assert due_days(row(), horizon) is None
    soon = TODAY + timedelta(days=3)
    assert due_days(row(p10=TODAY, p50=soon), horizon) == (0, 3, 130)
    assert due_days(row(state="due"), horizon) == (130, 130, 130)
    long_ago = row(p10=TODAY, p50=TODAY, p90=soon, due_day=date(2020, 1, 1))
    assert due_days(long_ago, horizon) == (-60, -60, -60)


@pytest.mark.parametrize(
    ("fields", "days"),
    [
        ({"interval__every_days": 90}, 90),
        ({"interval__every_months": 6}, 6 * 30.44),
        ({"interval__every": 100, "rate_per_day": 4}, 25),
        ({"interval__every": 100, "rate_per_day": 4, "machine__duty_factor": 0.5}, 12.5),
        ({"interval__every": 100, "rate_per_day": 4, "interval__every_days": 10}, 10),
        ({"interval__every": 100, "rate_per_day": None}, 365),
        ({}, 365),
    ],
)
def test_length_of_an_interval_in_days(fields, days):
    nothing = dict.fromkeys(
        ("interval__every", "interval__every_months", "interval__every_days", "rate_per_day")
    )
    duty = {"machine__duty_factor": 1, "machine__yard__duty_factor": 1}
    assert interval_days({**nothing, **duty, **fields}) == pytest.approx(days)


def test_limit_is_the_last_day_before_the_block(shop, due_in, refreshed):
    check = make.Service(code="annual", overdue_cost_per_day=1)
    due_in(6, check, hard=True)
    refreshed()
    (work,) = work_of(shop)
    assert (work.limit_day, work.past_limit, work.overdue_cost) == (6, False, 60)


def test_limit_that_is_passed_is_no_day_of_the_plan(shop, due_in, refreshed):
    due_in(-3, make.Service(code="annual"), hard=True)
    refreshed()
    (work,) = work_of(shop)
    assert (work.limit_day, work.past_limit) == (None, True)


def test_unsafe_finding_keeps_the_machine_from_going_out(shop, yard):
    machine = make.Machine(yard=yard)
    make.Finding(machine=machine, gravity="unsafe")
    make.Finding(machine=machine, gravity="defect", settled_at=NOW)
    make.Finding(machine=machine, gravity="defect", calls_for=make.Service())
    (work,) = work_of(shop)
    assert (work.blocks_rental, work.overdue_cost) == (True, 60)


def test_covered_service_due_much_sooner_is_done_by_itself(shop, yard, oil, refreshed):
    full = make.Service(code="full")
    machine = make.Machine(yard=yard)
    make.cover(machine.makeup, full, oil)
    for service, days in [(oil, 41), (full, 58)]:
        fields = {"meter_kind": "", "every": None, "every_days": days}
        make.Interval(service=service, makeup=machine.makeup, **fields)
        serviced(machine, service, 40)
    refreshed()
    assert [work.title for work in work_of(shop)] == [full.name, oil.name]


def test_on_a_make_up_that_does_not_say_so_nothing_is_covered(shop, yard, oil, refreshed):
    full = make.Service(code="full")
    said, other = make.Machine(tag="A-1", yard=yard), make.Machine(tag="B-1", yard=yard)
    make.cover(said.makeup, full, oil)
    for machine in (said, other):
        for service in (oil, full):
            fields = {"meter_kind": "", "every": None, "every_days": 42}
            make.Interval(service=service, makeup=machine.makeup, **fields)
            serviced(machine, service, 40)
    refreshed()
    assert [(work.machine, work.title, work.covers) for work in work_of(shop)] == [
        (said.pk, full.name, (oil.name,)), (other.pk, full.name, ()), (other.pk, oil.name, ()),
    ]  # fmt: skip


def test_a_yearly_service_is_done_a_tenth_of_its_interval_early_for_what_it_covers(
    shop, yard, oil, refreshed
):
    """Oil due in 1 day, the yearly one in 21: less than 36 days, a tenth of the year."""
    full = make.Service(code="full")
    machine = make.Machine(yard=yard)
    make.cover(machine.makeup, full, oil)
    for service, days, ago in [(oil, 41, 40), (full, 365, 344)]:
        fields = {"meter_kind": "", "every": None, "every_days": days}
        make.Interval(service=service, makeup=machine.makeup, **fields)
        serviced(machine, service, ago)
    refreshed()
    assert [(work.title, work.covers) for work in work_of(shop)] == [(full.name, (oil.name,))]


def test_work_under_way_is_planned_however_far_off_with_what_is_left(shop, due_in, refreshed):
    machine = due_in(60)
    refreshed()
    key = key_of(machine, "oil")
    make.Progress(machine=machine, work_key=key, at=NOW, minutes=20, minutes_left=45)
    (work,) = work_of(shop)
    assert (work.minutes, work.begun.minutes_done) == (45, 20)


def test_work_that_is_done_is_no_longer_under_way(shop, due_in, refreshed):
    machine = due_in(3)
    refreshed()
    before = NOW - timedelta(days=41)  # it was done forty days ago
    make.Progress(machine=machine, work_key=key_of(machine, "oil"), at=before)
    (work,) = work_of(shop)
    assert (work.minutes, work.begun) == (60, None)


def test_a_repair_may_take_two_people_several_days_and_be_under_way(shop, yard):
    finding = make.Finding(
        machine__yard=yard, seen_at=NOW, minutes=900, several_days=True, second_minutes=30,
        second_skill=make.Skill(name="rigger"),
    )  # fmt: skip
    make.Progress(
        machine=finding.machine, work_key=repair_key(finding.pk), at=NOW, minutes_left=700
    )
    (work,) = work_of(shop)
    assert (work.minutes, work.second, work.several_days) == (700, (30, "rigger"), True)


def test_work_takes_as_long_as_somebody_says_until_it_is_begun_after(
    shop, mechanic, due_in, refreshed
):
    machine = due_in(3)
    key = key_of(machine, "oil")
    refreshed()
    estimate(machine, key, 200, reason="rusted", by=mechanic, now=NOW - timedelta(days=1))
    assert work_of(shop)[0].minutes == 200
    make.Progress(machine=machine, work_key=key, done_by=mechanic, minutes_left=45, at=NOW)
    assert work_of(shop)[0].minutes == 45
