"""The plan as it stands, handed back as the planner would."""

import pytest

from fleet.models import Person
from scheduling.core.planner import read_problem
from scheduling.models import Plan
from scheduling.plan import plan_shop
from scheduling.plan.shop_problem import instance, load_shop
from scheduling.trial.standing_plan import standing
from tests import factories as make
from tests.scheduling.cases import NOW

pytestmark = pytest.mark.django_db


def stood(shop):
    facts = load_shop(shop, NOW)
    problem = read_problem(instance(facts))
    return problem, standing(facts, problem)


def test_it_costs_what_the_plan_says(planned, shop):
    plan = Plan.objects.get()
    _, result = stood(shop)
    assert {term: round(money, 2) for term, money in result.cost.items()} == plan.cost
    assert (len(result.assignments), result.deferred) == (3, ())
    assert result.bound == plan.bound


def test_work_whose_mechanic_is_gone_waits(planned, shop):
    Person.objects.filter(role="mechanic").update(is_active=False)
    _, result = stood(shop)
    assert (result.assignments, len(result.deferred)) == ((), 3)


def test_without_a_plan_everything_waits(planned, shop):
    Plan.objects.all().delete()
    problem, result = stood(shop)
    assert set(result.deferred) == set(problem.tasks)
    assert (result.bound, result.stopped) == (0, "")


def test_work_by_two_stands_with_both(shop, mechanic, bo, due_in, oil, refreshed):
    oil.second_minutes, oil.second_skill = 30, make.Skill(name="general")
    oil.save()
    due_in(3)
    refreshed()
    shop.refresh_from_db()
    plan_shop(shop, NOW, seconds=2)
    _, result = stood(shop)
    (spot,) = result.assignments
    assert {spot.mechanic, spot.second} == {"ada", "bo"}
    assert {term: round(money, 2) for term, money in result.cost.items()} == Plan.objects.get().cost
