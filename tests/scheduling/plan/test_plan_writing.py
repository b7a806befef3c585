"""How a plan stands in the database: the order of a day, and what a new plan leaves alone."""

from datetime import date

import pytest

from scheduling.core.planner import TERMS, Assignment, Result
from scheduling.models import Plan, PlannedJob, PlannedWork
from scheduling.plan.plan_writing import MOST_SAID, write_plan
from scheduling.plan.shop_problem import load_shop
from scheduling.wording import fitted
from tests import factories as make
from tests.scheduling.cases import NOW

pytestmark = pytest.mark.django_db


def write(shop, places):
    """Write a plan that has the work of each machine on a day with ada; the rest waits."""
    facts = load_shop(shop, NOW)
    tags = {work.key: facts.machines[work.machine].tag for work in facts.work}
    spots = [Assignment(key, places[tag], "ada", "") for key, tag in tags.items() if tag in places]
    waits = tuple(key for key, tag in tags.items() if tag not in places)
    cost = dict.fromkeys(TERMS, 0.0)
    return write_plan(facts, Result(tuple(spots), waits, (), cost, 0.0, 0.1, "gap"), "x", NOW)


def order(shop):
    jobs = PlannedJob.objects.filter(plan__shop=shop).order_by("day", "position")
    return [job.machine.tag for job in jobs]


def test_what_goes_out_first_is_worked_first(shop, mechanic, due_in, refreshed):
    last, late, early = due_in(2), due_in(3), due_in(4)
    make.Booking(machine=late, first_day=date(2026, 3, 12), last_day=date(2026, 3, 13))
    make.Booking(machine=early, first_day=date(2026, 3, 6), last_day=date(2026, 3, 7))
    refreshed()
    write(shop, {last.tag: 2, late.tag: 2, early.tag: 2})
    assert order(shop) == [early.tag, late.tag, last.tag]
    assert list(PlannedJob.objects.order_by("position").values_list("position", flat=True)) == [
        1, 2, 3,
    ]  # fmt: skip


def test_remote_yard_is_worked_in_one_go(shop, mechanic, yard, due_in, refreshed):
    ranch = make.Yard(shop=shop, remote=True)
    machines = [due_in(days) for days in (1, 2, 3, 4)]
    for machine in machines[::2]:
        machine.yard = ranch
        machine.save()
    refreshed()
    write(shop, {machine.tag: 2 for machine in machines})
    first, second, third, fourth = machines
    assert order(shop) == [second.tag, fourth.tag, first.tag, third.tag]


def test_new_plan_leaves_alone_what_stays(shop, mechanic, due_in, refreshed):
    stays, moves = due_in(2), due_in(3)
    refreshed()
    write(shop, {stays.tag: 2, moves.tag: 3})
    kept = PlannedJob.objects.get(machine=stays).pk
    written = write(shop, {stays.tag: 2, moves.tag: 4})
    # the job that moved is another, and its work goes with it
    assert (written.created, written.deleted) == (2, 1)
    assert PlannedJob.objects.get(machine=stays).pk == kept
    assert PlannedWork.objects.count() == 2
    assert Plan.objects.count() == 1


def test_work_that_waits_has_no_job_and_says_why(shop, mechanic, due_in, refreshed):
    machine = due_in(2)
    refreshed()
    write(shop, {})
    work = PlannedWork.objects.get()
    assert (work.machine, work.job) == (machine, None)
    assert work.why.startswith("No room for it")


def test_work_that_is_done_leaves_the_plan(shop, mechanic, due_in, refreshed):
    machine = due_in(2)
    refreshed()
    write(shop, {machine.tag: 2})
    machine.due_points.all().delete()
    write(shop, {})
    assert not PlannedJob.objects.exists()
    assert not PlannedWork.objects.exists()


def test_what_is_lacking_is_kept_in_whole_sentences():
    short = ["No mechanic holds the skill.", "The shop is shut."]
    assert fitted(short, MOST_SAID) == "No mechanic holds the skill. The shop is shut."
    kept = fitted([f"Sentence {n} of many that do not all fit." for n in range(60)], MOST_SAID)
    assert len(kept) <= MOST_SAID
    assert kept.endswith("fit. …")
