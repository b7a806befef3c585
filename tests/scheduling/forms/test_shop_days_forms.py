"""Where work is asked to go: a day and a mechanic, or an open day earlier or later."""

from datetime import timedelta

import pytest

from fleet.models import Absence
from scheduling.forms.shop_days_forms import MoveForm
from scheduling.models import PlannedWork
from tests import factories
from tests.factories import TODAY, key_of
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db
THURSDAY = TODAY + timedelta(days=3)


@pytest.fixture
def case():
    """The oil change of a quad, planned for Thursday; today is a Monday."""
    return bench_case(THURSDAY)


def form(case, **data):
    return MoveForm(case.mechanic.shop, TODAY, {"work_key": [key_of("Q-1", "oil")], **data})


def asked(case, **data):
    filled = form(case, **data)
    assert filled.is_valid(), filled.errors
    move = filled.move()
    return (move.day - TODAY).days, move.mechanic


def faults(case, **data):
    filled = form(case, **data)
    assert not filled.is_valid()
    return " ".join(str(fault[0]) for fault in filled.errors.values())


def test_day_and_mechanic_are_taken_as_they_stand(case):
    day = (TODAY + timedelta(days=8)).isoformat()
    assert asked(case, day=day, mechanic=case.mechanic.username) == (8, case.mechanic)
    assert asked(case, day=day) == (8, None)


@pytest.mark.parametrize(("step", "days"), [("-1", 2), ("1", 4)])
def test_step_goes_to_the_next_day_with_the_same_mechanic(case, step, days):
    assert asked(case, step=step) == (days, case.mechanic)


def test_step_passes_over_the_weekend(case):
    case.job.day = TODAY + timedelta(days=4)
    case.job.save()
    assert asked(case, step="1") == (7, case.mechanic)


def test_step_to_a_day_on_which_the_mechanic_is_away_leaves_open_who_does_it(case):
    factories.Mechanic(shop=case.mechanic.shop)
    friday = THURSDAY + timedelta(days=1)
    Absence.objects.create(person=case.mechanic, first_day=friday, last_day=friday)
    assert asked(case, step="1") == (4, None)


def test_step_wins_over_the_day_that_stands_in_the_same_form(case):
    assert asked(case, step="1", day=THURSDAY.isoformat())[0] == 4


def test_no_step_leads_into_the_past(case):
    case.job.day = TODAY
    case.job.save()
    assert "no working day close by that is earlier" in faults(case, step="-1")


def test_several_pieces_of_one_machine_move_together(case):
    PlannedWork.objects.create(
        plan=case.job.plan, job=case.job, machine=case.machine, work_key="f:2", minutes=30
    )
    filled = form(case, work_key=[key_of("Q-1", "oil"), "f:2"], step="1")
    assert filled.is_valid()
    assert filled.move().work_keys == (key_of("Q-1", "oil"), "f:2")


def test_work_of_two_machines_is_refused(case):
    other = factories.Machine(yard__shop=case.mechanic.shop)
    PlannedWork.objects.create(
        plan=case.job.plan, job=case.job, machine=other, work_key="f:3", minutes=30
    )
    assert "one machine at a time" in faults(case, work_key=[key_of("Q-1", "oil"), "f:3"], step="1")


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        ({}, "Choose a day"),
        ({"day": "soon"}, "Write the day as 2026-03-31."),
        ({"work_key": []}, "Tick at least one piece of work"),
        ({"work_key": ["m:1:987654321"]}, "no longer in the plan"),
        ({"step": "5"}, "5"),
        ({"day": "2026-03-09", "mechanic": "nobody"}, "Nobody of that name"),
    ],
)
def test_what_cannot_be_understood_gets_a_sentence(case, data, sentence):
    assert sentence in faults(case, **data)


def test_work_that_waits_has_no_day_to_step_from(case):
    PlannedWork.objects.update(job=None)
    assert "is not on any day yet" in faults(case, step="1")
    assert asked(case, day=THURSDAY.isoformat())[0] == 3
