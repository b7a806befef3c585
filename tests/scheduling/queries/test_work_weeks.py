"""Hours of work by week.  Today is Monday 2 March 2026; the mechanic works 40 hours a week."""

from datetime import UTC, datetime, timedelta

import pytest

from fleet.models import Absence, ClosedDay, Finding, Progress
from fleet.work_keys import repair_key
from scheduling.queries.work_weeks import weeks_by_skill, work_weeks
from tests import consequences, factories
from tests.factories import TODAY

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def shop():
    mechanic = factories.Mechanic()
    return mechanic.shop


def point(shop, **facts):
    return consequences.DuePoint(machine__yard__shop=shop, service__minutes=90, **facts)


def test_hours_at_hand_are_those_of_the_mechanics_less_what_is_shut_or_away(shop):
    ClosedDay.objects.create(shop=shop, day=TODAY)
    Absence.objects.create(
        person=shop.people.get(), first_day=TODAY + 7 * DAY, last_day=TODAY + 8 * DAY
    )
    weeks = work_weeks(shop, TODAY)
    assert [week.room for week in weeks[:3]] == [32, 24, 40]
    assert len(weeks) == 12


def test_a_service_counts_in_the_week_in_which_it_most_likely_falls_due(shop):
    point(shop, p50=TODAY + 15 * DAY)
    assert [week.unplanned for week in work_weeks(shop, TODAY)][:4] == [0, 0, 1.5, 0]


def test_what_is_past_counts_in_the_first_week_and_what_is_far_not_at_all(shop):
    point(shop, p50=TODAY - 40 * DAY)
    point(shop, p50=TODAY + 90 * DAY)
    point(shop)
    weeks = work_weeks(shop, TODAY)
    assert sum(week.unplanned for week in weeks) == weeks[0].unplanned == 1.5


def test_planned_work_counts_on_its_day_and_not_twice(shop):
    due = point(shop, p50=TODAY + 15 * DAY)
    job = consequences.PlannedJob(
        plan__shop=shop, machine=due.machine, day=TODAY + 8 * DAY, minutes=120
    )
    consequences.PlannedWork(job=job, due_point=due)
    weeks = work_weeks(shop, TODAY)
    assert (weeks[1].planned, sum(week.unplanned for week in weeks)) == (2, 0)


def test_defects_that_nobody_planned_are_repairs_of_this_week(shop):
    machine = factories.Machine(yard__shop=shop)
    factories.Finding(machine=machine, minutes=30)
    factories.Finding(machine=machine, gravity=Finding.Gravity.NOTE)
    factories.Finding(machine=machine, settled_at=factories.NOON)
    assert work_weeks(shop, TODAY)[0].repairs == 0.5


def test_a_service_of_50_h_at_13_h_a_week_shows_three_in_twelve_weeks(shop):
    every = factories.Interval(every=50)
    gap = round(50 / 13 * 7)
    point(
        shop, p10=TODAY + gap * DAY, p50=TODAY + gap * DAY, p90=TODAY + gap * DAY,
        interval=every, rate_per_day=13 / 7,
    )  # fmt: skip
    weeks = work_weeks(shop, TODAY)
    assert sum(week.unplanned for week in weeks) == pytest.approx(3 * 1.5)
    assert [n for n, week in enumerate(weeks) if week.unplanned] == [3, 7, 11]


def test_what_is_planned_comes_again_after_its_day(shop):
    every = factories.Interval(every_days=28, every=None)
    due = point(shop, p50=TODAY, interval=every)
    job = consequences.PlannedJob(plan__shop=shop, machine=due.machine, day=TODAY, minutes=90)
    consequences.PlannedWork(job=job, due_point=due, service=due.service)
    weeks = work_weeks(shop, TODAY)
    assert [n for n, week in enumerate(weeks) if week.unplanned] == [4, 8]
    assert weeks[0].planned == 1.5


def long_job(shop, *pieces):
    """A job of today and the next two days, 8 h a day, with these repairs.

    Each of minutes, when settled, and minutes of a second person.
    """
    machine = factories.Machine(yard__shop=shop)
    days = {f"{TODAY + n * DAY:%Y-%m-%d}": 480 for n in range(3)}
    job = consequences.PlannedJob(
        plan__shop=shop, machine=machine, day=TODAY, minutes=1440,
        last_day=TODAY + 2 * DAY, by_day=days, second_minutes=60,
    )  # fmt: skip
    found = []
    for minutes, settled, second in pieces:
        finding = factories.Finding(machine=machine, settled_at=settled, second_minutes=second)
        key = repair_key(finding.pk)
        found.append(
            consequences.PlannedWork(
                job=job, service=None, minutes=minutes, finding=finding, work_key=key
            )
        )
    return found


def test_what_is_done_by_now_needs_no_more_hours(shop):
    long_job(shop, (900, factories.NOON, 60), (480, None, 0))
    found = weeks_by_skill(shop, TODAY)
    assert found.weeks[0].planned == 9  # 1,440 minutes less 900; the second person is done
    assert {one.name: one.expected for one in found.skills}["no skill asked"] == 8


def test_what_is_all_done_counts_no_more_and_comes_again_by_its_own_forecast(shop):
    every = factories.Interval(every_days=28, every=None)
    due = point(shop, p50=TODAY + 28 * DAY, interval=every, last_done_on=TODAY)
    job = consequences.PlannedJob(plan__shop=shop, machine=due.machine, day=TODAY, minutes=90)
    consequences.PlannedWork(job=job, due_point=due, service=due.service)
    weeks = work_weeks(shop, TODAY)
    assert [week.planned for week in weeks] == [0] * 12
    assert [n for n, week in enumerate(weeks) if week.unplanned] == [4, 8]


def test_of_work_left_under_way_what_is_left_counts(shop):
    (work,) = long_job(shop, (1440, None, 60))
    Progress.objects.create(
        machine=work.machine, work_key=work.work_key, done_by=shop.people.get(),
        at=work.plan.made_at, minutes=1320, minutes_left=120,
    )  # fmt: skip
    assert work_weeks(shop, TODAY)[0].planned == 2 + 1


def test_repeats_of_planned_work_are_as_unsure_as_its_use(shop):
    every = factories.Interval(every=50)
    due = point(
        shop, p10=TODAY + 10 * DAY, p50=TODAY + 20 * DAY, p90=TODAY + 40 * DAY,
        interval=every, rate_per_day=50 / 28,
    )  # fmt: skip
    job = consequences.PlannedJob(plan__shop=shop, machine=due.machine, day=TODAY, minutes=90)
    consequences.PlannedWork(job=job, due_point=due, service=due.service)
    weeks = work_weeks(shop, TODAY)
    assert sum(0 < week.unplanned < 1.5 for week in weeks) > 4


def test_a_skill_names_the_weeks_in_which_it_is_short(shop):
    hydraulic = factories.Skill(name="hydraulic")
    shop.people.get().skills.add(hydraulic)
    for _ in range(40):
        due = point(shop, p50=TODAY + 15 * DAY)
        due.service.skill = hydraulic
        due.service.save()
    found = {one.name: one for one in weeks_by_skill(shop, TODAY).skills}
    assert found["hydraulic"].short_weeks == (TODAY + 14 * DAY,)
    assert not found["hydraulic"].short  # 60 hours in one week, 480 in all


def test_of_today_only_what_is_left_counts(shop):
    late = datetime(2026, 3, 2, 14, 30, tzinfo=UTC)  # open from 7 to 17: a quarter is left
    assert work_weeks(shop, TODAY, now=late)[0].room == pytest.approx(32 + 2)
    assert work_weeks(shop, TODAY + 2 * DAY)[0].room == 24


def test_skills_stand_beside_the_hours_of_who_holds_them(shop):
    hydraulic = factories.Skill(name="hydraulic")
    due = point(shop, p50=TODAY + 2 * DAY)
    due.service.skill = hydraulic
    due.service.save()
    found = {one.name: one for one in weeks_by_skill(shop, TODAY).skills}
    assert (found["hydraulic"].expected, found["hydraulic"].left) == (1.5, 0)
    assert found["hydraulic"].short
    assert not found["general"].short


@pytest.mark.parametrize("number", [2, 20])
def test_the_number_of_queries_does_not_grow(shop, number, django_assert_num_queries):
    for _ in range(number):
        point(shop, p50=TODAY)
    long_job(shop, *[(60, None, 0)] * number)
    with django_assert_num_queries(17):
        work_weeks(shop, TODAY)
