"""Something broke: few moves that mend the plan, each with its reason."""

from datetime import timedelta

import pytest

from fleet.models import Progress, PutOff, Qualification
from scheduling.models import PlannedJob, PlannedWork
from scheduling.plan import plan_shop
from scheduling.plan.search_stages import Telling
from scheduling.trial import mend_plan as mend_module
from scheduling.trial.changes import Away, BackLate, PartGone, TakesLonger
from scheduling.trial.mend_plan import mend_plan
from scheduling.trial.work_out import work_out
from tests import consequences
from tests import factories as make
from tests.factories import key_of
from tests.scheduling.cases import NOW, TODAY
from tests.scheduling.trial.every_change import day

pytestmark = pytest.mark.django_db


@pytest.fixture
def mended(shop):
    def build(*changes):
        tell = Telling(consequences.PlanSearch(shop=shop).pk)
        return mend_plan(shop, list(changes), NOW, tell)

    return build


def job_of(machine):
    return PlannedWork.objects.select_related("job__mechanic").get(machine=machine).job


def test_somebody_away_moves_their_work_and_no_other(planned, mended):
    sick = job_of(planned[0]).mechanic
    theirs = {m.tag for m in planned if job_of(m).mechanic == sick}
    worked = mended(Away(sick.pk, str(sick), TODAY, TODAY + timedelta(days=30), "ill"))
    assert {move["tag"] for move in worked.shown["moves"]} == theirs
    assert all(move["why"] for move in worked.shown["moves"])
    assert all(str(sick) != move["after"]["mechanic"] for move in worked.shown["moves"])
    assert worked.shown["kept"] == 3 - len(theirs)


def test_somebody_away_for_long_whose_certificate_runs_out_is_mended_around(planned, mended):
    """The plan calls them by two names, before and after; work under both is told that they are
    away, and nothing else."""
    sick = job_of(planned[0]).mechanic
    last = TODAY + timedelta(days=2)
    Qualification.objects.create(person=sick, skill=make.Skill(name="inspector"), valid_until=last)
    PlannedJob.objects.filter(machine=planned[0]).update(day=TODAY + timedelta(days=4))
    shown = mended(Away(sick.pk, str(sick), TODAY, TODAY + timedelta(days=60), "ill")).shown
    (move,) = [move for move in shown["moves"] if move["tag"] == planned[0].tag]
    assert (
        move["why"] == f"It cannot stay on Fri 6 Mar with {sick}: {sick} is not working that day."
    )


def test_a_part_that_is_not_there_moves_what_takes_it_with_a_reason_in_words(
    planned, mended, filter_part
):
    """One filter on the shelf, one to come on Thursday: one of the two oil changes has to wait."""
    shown = mended(PartGone(filter_part.pk, filter_part.name, 0.0)).shown
    for move in shown["moves"]:
        assert "#" not in move["why"]
        assert "day 3" not in move["why"]
    assert shown["missing"] == []


def test_work_of_today_moves_although_its_day_stands_still_otherwise(
    shop, mechanic, bo, due_in, refreshed, mended
):
    machine = due_in(0)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    plan_shop(shop, NOW, seconds=2)
    job = job_of(machine)
    assert job.day == TODAY
    sick = job.mechanic
    (move,) = mended(Away(sick.pk, str(sick), TODAY, day(4))).shown["moves"]
    assert move["before"]["day"] == TODAY.isoformat()
    assert move["after"]["mechanic"] != str(sick)


def test_a_machine_that_stays_out_is_worked_on_after_it_is_back(planned, mended):
    machine = planned[0]
    job = job_of(machine)
    booking = make.Booking(machine=machine, first_day=day(-2), last_day=day(1), made_at=NOW)
    shown = mended(BackLate(booking.pk, machine.pk, machine.tag, job.day)).shown
    (move,) = [move for move in shown["moves"] if move["tag"] == machine.tag]
    assert move["after"] is None or move["after"]["day"] > job.day.isoformat()


def test_work_that_takes_longer_than_a_day_has_room_for_goes_elsewhere(planned, mended):
    machine = planned[0]
    key = key_of(machine, "oil")
    worked = mended(TakesLonger(machine.pk, machine.tag, key, "Oil change", 9 * 60))
    assert worked.shown["total"][1] > worked.shown["total"][0]


def test_nothing_broken_moves_nothing(planned, mended):
    shown = mended(PartGone(make.Part().pk, "belt", 0.0)).shown
    assert (shown["moves"], shown["kept"], shown["fewest"]) == ([], 3, True)


def test_how_near_the_cheapest_it_is_is_not_told(planned, mended, mechanic):
    worked = mended(Away(mechanic.pk, str(mechanic), TODAY, day(9)))
    assert worked.solution.bound == 0.0 < worked.solution.total
    assert worked.shown["gap"] == 1.0


def test_work_under_way_goes_on_with_whoever_has_it_in_hand_and_is_not_new(
    shop, mechanic, bo, due_in, refreshed, mended
):
    machine = due_in(0)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    plan_shop(shop, NOW, seconds=2)
    job = job_of(machine)
    sick = job.mechanic
    Progress.objects.create(
        machine=machine, work_key=key_of(machine, "oil"), minutes=20, minutes_left=40,
        at=NOW - timedelta(days=1), done_by=sick, by=sick,
    )  # fmt: skip
    plan_shop(shop, NOW, seconds=2)
    assert job_of(machine).day == TODAY
    (move,) = mended(Away(sick.pk, str(sick), TODAY, TODAY)).shown["moves"]
    assert move["before"]["day"] == TODAY.isoformat()
    assert move["why"] == f"It is under way, and goes on with {sick}, who has it in hand."


def test_work_that_was_put_off_says_so_and_is_not_new(planned, mended):
    machine, job = planned[0], job_of(planned[0])
    PutOff.objects.create(
        machine=machine, work_key=key_of(machine, "oil"), day=job.day, reason="no filter",
        by=job.mechanic, at=NOW,
    )  # fmt: skip
    sick = job.mechanic
    shown = mended(Away(sick.pk, str(sick), TODAY, TODAY + timedelta(days=30), "ill")).shown
    (move,) = [one for one in shown["moves"] if one["tag"] == machine.tag]
    assert move["why"].startswith("Put off on ")
    assert "no filter" in move["why"]


def test_how_many_moves_are_needed_at_least_is_told(planned, mended):
    sick = job_of(planned[0]).mechanic
    shown = mended(Away(sick.pk, str(sick), TODAY, TODAY + timedelta(days=30), "ill")).shown
    assert shown["fewest"]
    assert 0 < shown["least_moves"] <= len(shown["moves"])


@pytest.mark.parametrize(
    ("number", "seconds"), [(1, mend_module.SECONDS), (2, mend_module.SECONDS_AGAIN)]
)
def test_asked_for_again_fewer_moves_are_looked_for_longer(
    shop, planned, monkeypatch, number, seconds
):
    given = []

    def mend(problem, limits):
        given.append(limits.seconds)
        return planners_mend(problem, limits)

    planners_mend = mend_module.mend
    monkeypatch.setattr(mend_module, "mend", mend)
    trial = consequences.Trial(shop=shop, kind="mend", round=number)
    work_out(trial, [], NOW, Telling(consequences.PlanSearch(shop=shop).pk))
    assert given == [seconds]
