"""Plans of small shops through the database, checked against what a person would expect."""

import json
from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import (
    Absence,
    ClosedDay,
    Delivery,
    FittingPart,
    Pin,
    PutOff,
    Release,
    ServiceNeed,
    ShopHours,
    StockMovement,
    WorkingHours,
)
from fleet.work_keys import repair_key
from scheduling.models import Block, Plan, PlannedJob, PlannedWork
from scheduling.plan import plan_shop
from scheduling.plan import shop_plan as plan_module
from tests import factories as make
from tests.factories import key_of
from tests.scheduling.cases import NOW, TODAY, ago, serviced, writes
from tests.scheduling.said import said

pytestmark = pytest.mark.django_db
Kind = Block.Kind


def day(ahead):
    return TODAY + timedelta(days=ahead)


def planned_day(machine):
    return PlannedWork.objects.get(machine=machine).job.day


def test_work_is_done_on_its_day(shop, mechanic, due_in, refreshed):
    machine = due_in(3)
    refreshed()
    report = plan_shop(shop, NOW, seconds=2)
    job = PlannedJob.objects.get()
    assert (job.machine, job.mechanic, job.day, job.position) == (machine, mechanic, day(3), 1)
    assert job.minutes == 60 + 30  # the work, and the visit's half hour
    assert (report.jobs, report.work, report.deferred) == (1, 1, 0)
    assert report.stopped in ("optimal", "gap")
    work = PlannedWork.objects.get()
    assert work.due_point == machine.due_points.get()
    assert work.work_key == key_of(machine, "oil")
    assert "would cost" in work.why
    json.dumps(report.as_dict())


def test_second_run_changes_nothing(shop, mechanic, due_in, refreshed):
    due_in(3)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    with CaptureQueriesContext(connection) as seen:
        report = plan_shop(shop, NOW, seconds=2)
    assert report.kept
    assert writes(seen.captured_queries) == []
    assert (report.jobs, report.work) == (1, 1)


def test_solving_again_from_its_own_plan_moves_nothing(shop, mechanic, due_in, refreshed):
    for days in (2, 3, 3, 4, 9):
        due_in(days)
    refreshed()
    plan_shop(shop, NOW, seconds=4)
    before = list(PlannedJob.objects.values_list("machine", "day", "mechanic", "position"))
    Plan.objects.update(facts="")
    assert not plan_shop(shop, NOW, seconds=4).kept
    assert list(PlannedJob.objects.values_list("machine", "day", "mechanic", "position")) == before


def test_machine_in_the_shop_is_blocked_for_that_day(shop, mechanic, due_in, refreshed):
    machine = due_in(3)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    block = Block.objects.get(kind=Kind.IN_SHOP)
    assert (block.machine, block.first_day, block.last_day) == (machine, day(3), day(3))
    assert not block.hard
    refreshed()
    assert Block.objects.filter(pk=block.pk).exists()


def test_queries_do_not_grow_with_the_work(shop, mechanic, due_in, refreshed):
    def count():
        refreshed()
        plan_shop(shop, NOW, seconds=2)
        with CaptureQueriesContext(connection) as seen:
            plan_shop(shop, NOW, seconds=2)
        return len(seen)

    due_in(3)
    few = count()
    for days in (2, 4, 5, 8, 9):
        due_in(days)
    assert count() == few


def test_closed_days_and_absences_are_kept_free(shop, mechanic, due_in, refreshed):
    machine = due_in(3)  # Thursday
    ClosedDay.objects.create(shop=shop, day=day(3), reason="stocktaking")
    Absence.objects.create(person=mechanic, first_day=day(0), last_day=day(2))
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    assert planned_day(machine) == day(4)


def test_machine_out_on_a_booking_is_not_planned_then(shop, mechanic, due_in, refreshed):
    machine = due_in(3)
    make.Booking(machine=machine, first_day=day(3), last_day=day(9), value=900)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    assert planned_day(machine) in (day(1), day(2))
    sentence = said(Block.objects.get(kind=Kind.FALLS_DUE))
    assert "before it goes out Thu 5 Mar" in sentence
    assert sentence.split(". ")[1].startswith("Planned for")


def test_booking_that_cannot_be_served_first_is_given_up(shop, mechanic, due_in, refreshed):
    machine = due_in(3)
    booking = make.Booking(machine=machine, first_day=day(3), last_day=day(9), value=900)
    Absence.objects.create(person=mechanic, first_day=day(0), last_day=day(4))
    refreshed()
    assert plan_shop(shop, NOW, seconds=2).given_up == [booking.pk]
    block = Block.objects.get(kind=Kind.FALLS_DUE)
    assert "No shop day before it goes out" in said(block)
    assert plan_shop(shop, NOW, seconds=2).given_up == [booking.pk]  # kept, and said again
    as_it_was = [machine.pk, day(3).isoformat(), day(9).isoformat()]
    assert shop.plan.given_up_as == {str(booking.pk): as_it_was}


def test_pin_fixes_day_and_mechanic(shop, mechanic, due_in, refreshed):
    other = make.Mechanic(shop=shop)
    machine = due_in(3)
    key = key_of(machine, "oil")
    fields = {"machine": machine, "work_key": key, "by": mechanic, "at": NOW}
    pin = Pin.objects.create(day=day(8), mechanic=other, **fields)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    job = PlannedJob.objects.get()
    assert (job.day, job.mechanic) == (day(8), other)
    assert PlannedWork.objects.get().pinned
    pin.lifted_at = NOW
    pin.save()
    plan_shop(shop, NOW, seconds=2)
    assert planned_day(machine) == day(3)


def test_pin_past_the_horizon_is_kept_in_mind(shop, mechanic, due_in, refreshed):
    machine = due_in(3)
    key = key_of(machine, "oil")
    Pin.objects.create(machine=machine, work_key=key, day=day(40), by=mechanic, at=NOW)
    refreshed()
    report = plan_shop(shop, NOW, seconds=2)
    work = PlannedWork.objects.get()
    assert (work.job, work.pinned, report.deferred) == (None, True, 1)
    assert work.why == "Pinned to Sat 11 Apr, beyond this plan."


def test_pin_to_somebody_without_the_skill_leaves_the_mechanic_open(
    shop, mechanic, yard, due_in, refreshed
):
    wiring = make.Service(code="wiring", skill=make.Skill(name="electrical"))
    electrician = make.Mechanic(shop=shop)
    electrician.skills.add(wiring.skill)
    machine = due_in(3, wiring)
    key = key_of(machine, "wiring")
    pin = {"machine": machine, "work_key": key, "day": day(4), "mechanic": mechanic}
    Pin.objects.create(**pin, by=mechanic, at=NOW)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    job = PlannedJob.objects.get()
    assert (job.day, job.mechanic) == (day(4), electrician)


def test_a_first_plan_may_use_today_and_a_later_one_leaves_it_be(shop, mechanic, due_in, refreshed):
    first = due_in(-5)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    assert planned_day(first) == TODAY
    second = due_in(-5)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    assert (planned_day(first), planned_day(second)) == (TODAY, day(1))


def test_a_first_plan_stands_when_it_is_run_again(shop, mechanic, due_in, refreshed):
    due_in(-5)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    assert plan_shop(shop, NOW, seconds=2).kept


def test_work_put_off_leaves_its_day(shop, mechanic, due_in, refreshed):
    machine = due_in(-5)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    first = planned_day(machine)
    later = NOW + (first - TODAY) * 1
    key = key_of(machine, "oil")
    put_off = {"machine": machine, "work_key": key, "day": first, "reason": "filter missing"}
    PutOff.objects.create(**put_off, by=mechanic, at=later)
    plan_shop(shop, later, seconds=2)
    work = PlannedWork.objects.get()
    assert work.job.day > first
    assert "Put off on" in work.why
    assert "filter missing" in work.why


def test_work_put_off_is_not_planned_on_that_day_again_an_hour_later(
    shop, mechanic, due_in, refreshed
):
    """Nor on a day to come, past those that stand still."""
    shop.frozen_days = 0
    shop.save()
    machine = due_in(-5)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    first = planned_day(machine)
    PutOff.objects.create(
        machine=machine, work_key=key_of(machine, "oil"), day=first, reason="filter missing",
        by=mechanic, at=NOW,
    )  # fmt: skip
    plan_shop(shop, NOW + timedelta(hours=1), seconds=2)
    assert planned_day(machine) > first
    pin = {"machine": machine, "work_key": key_of(machine, "oil"), "day": first, "by": mechanic}
    Pin.objects.create(**pin, at=NOW + timedelta(hours=2))
    plan_shop(shop, NOW + timedelta(hours=3), seconds=2)
    assert planned_day(machine) == first


def test_published_plan_is_held_to_when_the_plan_itself_is_lost(shop, mechanic, due_in, refreshed):
    machine = due_in(0)
    other = make.Mechanic(shop=shop)
    jobs = [{"work_key": key_of(machine, "oil"), "day": day(0).isoformat(), "mechanic": "zed"}]
    other.username = "zed"
    other.save()
    Release.objects.create(shop=shop, at=ago(1), first_day=day(-1), last_day=day(5), jobs=jobs)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    job = PlannedJob.objects.get()
    assert (job.day, job.mechanic) == (day(0), other)  # a frozen day keeps what stood there


@pytest.fixture
def oil_filter(oil, due_in):
    """A machine due on Thursday, and the filter that its oil change takes."""
    machine = due_in(3)
    part = make.Part(name="oil filter")
    FittingPart.objects.create(makeup=machine.makeup, place="Oil filter", part=part)
    ServiceNeed.objects.create(service=oil, place="oil filter")
    return machine, part


def test_work_waits_for_its_part(shop, mechanic, oil_filter, refreshed):
    machine, part = oil_filter
    StockMovement.objects.create(part=part, shop=shop, quantity=0, reason="count", at=NOW)
    Delivery.objects.create(part=part, shop=shop, quantity=4, expected_on=day(7))
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    assert planned_day(machine) == day(7)
    assert "oil filter does not arrive until Mon 9 Mar" in PlannedWork.objects.get().why


def test_work_without_its_part_waits_with_the_reason(shop, mechanic, oil_filter, refreshed):
    _, part = oil_filter
    StockMovement.objects.create(part=part, shop=shop, quantity=0, reason="count", at=NOW)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    work = PlannedWork.objects.get()
    assert work.job is None
    assert "takes 1 of oil filter, but 0 are on hand" in work.why


def test_part_that_was_never_counted_does_not_hold_work_up(shop, mechanic, oil_filter, refreshed):
    machine, _ = oil_filter
    refreshed()
    report = plan_shop(shop, NOW, seconds=2)
    assert planned_day(machine) == day(3)
    assert report.missing == ["Never counted on the shelf, so taken as there: oil filter."]


def test_defect_is_planned_and_a_note_is_not(shop, mechanic, yard, refreshed):
    machine = make.Machine(yard=yard)
    finding = make.Finding(machine=machine, text="hose chafed", minutes=45, seen_at=ago(3))
    make.Finding(machine=machine, text="seat torn", gravity="note")
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    work = PlannedWork.objects.get()
    assert (work.work_key, work.finding, work.minutes) == (repair_key(finding.pk), finding, 45)
    assert work.job.day == day(0)  # a first plan has no list that must hold still


def test_service_that_another_covers_is_not_planned_twice(shop, mechanic, yard, oil, refreshed):
    full = make.Service(name="Full service", code="full", minutes=120)
    machine = make.Machine(yard=yard)
    make.cover(machine.makeup, full, oil)
    for service, days in [(oil, 42), (full, 45)]:
        fields = {"meter_kind": "", "every": None, "every_days": days}
        make.Interval(service=service, makeup=machine.makeup, **fields)
        serviced(machine, service, 40)
    make.Booking(machine=machine, first_day=day(8), last_day=day(9))
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    work = PlannedWork.objects.get()
    assert work.service == full
    assert "It covers Oil change." in work.why
    assert work.job.day <= day(3)
    sentence = said(Block.objects.get(kind=Kind.FALLS_DUE))
    assert "Planned for" in sentence  # the smaller service counts as planned with it


@pytest.mark.parametrize("full_due", [57, 62, 66])
def test_a_covered_service_never_stands_beside_or_after_the_one_that_covers_it(
    shop, mechanic, yard, oil, refreshed, full_due
):
    """Oil due in 2 days, the full service 17 to 26 days later: one trip would do both."""
    full = make.Service(name="Full service", code="full", minutes=120, value=1)
    machine = make.Machine(yard=yard)
    make.cover(machine.makeup, full, oil)
    for service, days in [(oil, 42), (full, full_due)]:
        fields = {"meter_kind": "", "every": None, "every_days": days}
        make.Interval(service=service, makeup=machine.makeup, **fields)
        serviced(machine, service, 40)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    days = dict(PlannedWork.objects.filter(job__isnull=False).values_list("service", "job__day"))
    assert oil.pk in days
    assert days.get(full.pk, day(99)) > days[oil.pk]


def test_alteration_makes_work_longer(shop, mechanic, due_in, oil, refreshed):
    machine = due_in(3)
    machine.alterations.create(text="skid plate", slows=oil, extra_minutes=25)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    assert PlannedWork.objects.get().minutes == 85


def test_remote_yard_is_visited_by_trip(shop, mechanic, yard, due_in, refreshed):
    yard.remote, yard.travel_hours, yard.trip_cost = True, 2.0, 60.0
    yard.save()
    machines = [due_in(3), due_in(4)]
    refreshed()
    plan_shop(shop, NOW, seconds=4)
    assert planned_day(machines[0]) == planned_day(machines[1])  # one way there for both
    assert Plan.objects.get().cost["trip"] == 60


def test_hard_limit_comes_before_cheaper_days(shop, mechanic, due_in, refreshed):
    check = make.Service(name="Annual inspection", code="annual", minutes=60)
    machine = due_in(2, check, hard=True)
    refreshed()
    report = plan_shop(shop, NOW, seconds=2)
    assert planned_day(machine) <= day(2)
    assert report.cannot_keep == []


def test_hard_limit_that_cannot_be_kept_is_said(shop, mechanic, due_in, refreshed):
    check = make.Service(name="Annual inspection", code="annual")
    machine = due_in(2, check, hard=True)
    Absence.objects.create(person=mechanic, first_day=day(0), last_day=day(4))
    refreshed()
    report = plan_shop(shop, NOW, seconds=2)
    (sentence,) = report.cannot_keep
    assert sentence.startswith(
        f"{machine.tag}, Annual inspection: the hard limit on Wed 4 Mar cannot"
    )
    assert sentence[:100] in Plan.objects.get().missing
    assert planned_day(machine) == day(7)  # the next day on which it can be


def test_hard_limit_that_is_passed_and_that_nobody_can_serve_is_said(
    shop, mechanic, due_in, refreshed
):
    skill = make.Skill(name="inspector")
    check = make.Service(name="Annual inspection", code="annual", skill=skill)
    due_in(-3, check, hard=True)
    refreshed()
    (sentence,) = plan_shop(shop, NOW, seconds=2).cannot_keep
    assert "past its hard limit" in sentence
    assert "Nobody in the shop holds the skill inspector" in sentence


def test_shop_without_a_mechanic_says_so_and_goes_on(shop, due_in, refreshed):
    due_in(3)
    refreshed()
    report = plan_shop(shop, NOW, seconds=2)
    assert (report.jobs, report.deferred) == (0, 1)
    assert "Nobody has working hours in this shop" in Plan.objects.get().missing
    assert PlannedWork.objects.get().why == "Nobody works in the shop on any open day of this plan."


def test_shop_that_never_opens_says_so(shop, mechanic, due_in, refreshed):
    ShopHours.objects.all().delete()
    due_in(3)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    assert "not open on any day" in Plan.objects.get().missing


def test_shop_without_machines_or_bays(shop, mechanic, due_in, refreshed):
    assert plan_shop(shop, NOW, seconds=2).jobs == 0
    shop.bays = 0
    shop.save()
    due_in(3)
    refreshed()
    report = plan_shop(shop, NOW, seconds=2)
    assert (report.jobs, report.deferred) == (0, 1)
    assert any("no bay" in sentence for sentence in report.missing)


def test_manager_with_working_hours_works_too(shop, yard, due_in, refreshed):
    """On a ranch the manager is often the mechanic."""
    boss = make.Person(shop=shop)
    WorkingHours.objects.create(person=boss, weekday=2, hours=4)
    due_in(3)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    job = PlannedJob.objects.get()
    assert (job.mechanic, job.day) == (boss, date(2026, 3, 4))


def test_a_plan_that_another_wrote_meanwhile_is_not_overwritten(
    shop, mechanic, due_in, refreshed, monkeypatch
):
    """A person pins the work while a slower run solves, which then plans again with the pin."""
    machine = due_in(3)
    refreshed()
    solve, met = plan_module.solve, []

    def slow(problem, *more):
        if not met:
            met.append(True)
            key = key_of(machine, "oil")
            Pin.objects.create(machine=machine, work_key=key, day=day(2), by=make.Person(), at=NOW)
            plan_shop(shop, NOW, seconds=2)
        return solve(problem, *more)

    monkeypatch.setattr(plan_module, "solve", slow)
    assert plan_shop(shop, NOW, seconds=2).kept
    assert planned_day(machine) == day(2)
    assert Plan.objects.get().number == 1


def test_who_is_overtaken_each_time_gives_up(shop, mechanic, due_in, refreshed, monkeypatch):
    due_in(3)
    refreshed()
    numbers = iter(range(9))
    monkeypatch.setattr(plan_module, "plan_number", lambda shop: next(numbers))
    with pytest.raises(plan_module.Overtaken, match="by others meanwhile"):
        plan_shop(shop, NOW, seconds=2)
    assert not Plan.objects.exists()


def test_a_search_that_time_cut_off_is_gone_on_with_when_asked(shop, mechanic, due_in, refreshed):
    due_in(3)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    plan = Plan.objects.get()
    Plan.objects.update(stopped="time", total=plan.total + 10, bound=0)
    assert plan_shop(shop, NOW, seconds=2).kept  # a night keeps what the same facts gave
    report = plan_shop(shop, NOW, seconds=2, go_on=2.0)
    assert (report.kept, report.saved) == (False, 10.0)
    assert Plan.objects.get().stopped != "time"
    assert plan_shop(shop, NOW, seconds=2, go_on=2.0).kept  # proven: nothing to go on with


def test_what_was_proven_before_is_not_proven_away_by_going_on(
    shop, mechanic, due_in, refreshed, monkeypatch
):
    """The second search proves nothing; the plan before was charged 3 for moving work."""
    due_in(3)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    plan = Plan.objects.get()
    cost = plan.cost | {"change": 3.0}
    Plan.objects.update(stopped="time", total=plan.total + 3, bound=plan.total - 1, cost=cost)
    solved = plan_module.solve

    def proves_nothing(problem, limits, tell):
        return replace(solved(problem, limits, tell), bound=0.0, stopped="time")

    monkeypatch.setattr(plan_module, "solve", proves_nothing)
    plan_shop(shop, NOW, seconds=2, go_on=2.0)
    after = Plan.objects.get()
    assert after.number == plan.number + 1
    assert after.bound == pytest.approx(plan.total - 1 - 3 - 0.01)
    assert after.stopped == "time"


def test_each_piece_of_work_gives_the_search_more_seconds(
    shop, mechanic, due_in, refreshed, monkeypatch
):
    given, solved = [], plan_module.solve

    def solve(problem, limits, tell):
        given.append((len(problem.tasks), limits.seconds))
        return solved(problem, limits, tell)

    monkeypatch.setattr(plan_module, "solve", solve)
    for days in (2, 3, 4):
        due_in(days)
    refreshed()
    plan_shop(shop, NOW, seconds=2, a_piece=0.5)
    assert given == [(3, 3.5)]
