"""The month and what is left out as lists, by mechanic, class and skill.  Today is 2 March."""

import pytest
from django.urls import reverse

from scheduling.models import PlannedJob, PlannedWork
from tests import consequences, factories
from tests.factories import TODAY
from tests.pages import answer, at_noon, sign_in, words  # noqa: F401  at_noon is a fixture
from tests.scheduling.bench_data import bench_case

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]


@pytest.fixture
def case(client):
    """Jo has the oil change of Q-1; Ada has a job on Z-7, at which Jo helps."""
    case = bench_case()
    shop = case.mechanic.shop
    sign_in(client, shop=shop)
    case.ada = factories.Mechanic(shop=shop, first_name="Ada")
    case.other = consequences.PlannedJob(
        plan=case.job.plan, machine=factories.Machine(yard=case.machine.yard, tag="Z-7"),
        mechanic=case.ada, day=TODAY, second=case.mechanic, second_minutes=30,
    )  # fmt: skip
    work = consequences.PlannedWork(job=case.other, service=factories.Service(name="Swap blades"))
    case.skill = factories.Skill(name="hydraulic")
    work.service.skill = case.skill
    work.service.save()
    return case


def shown(client, **query):
    return client.get(reverse("shop-days"), query)


def test_the_month_lists_the_jobs_of_the_mechanic_asked_for_alone(client, case):
    page = shown(client, view="month", mechanic=case.ada.username)
    assert answer(page).startswith("1 machine comes in")
    assert "Z-7 Ada" in words(page)
    assert "Q-1" not in words(page)


def test_the_month_names_second_persons(client, case):
    page = words(shown(client, view="month"))
    assert "Q-1 Jo, 1 h 30 min" in page
    assert "Jo: Helps with Z-7, 30 min, Ada" in page
    helper = shown(client, view="month", mechanic=case.mechanic.username)
    assert answer(helper).startswith("2 machines come in")
    assert "Helps with Z-7" in words(helper)


def test_what_is_left_out_by_class_yard_and_skill_but_not_by_mechanic(client, case):
    PlannedWork.objects.update(job=None)
    PlannedJob.objects.all().delete()
    assert answer(shown(client, view="beyond")).startswith("2 pieces of work left out")
    for query in ({"machine_class": case.other.machine.makeup.machine_class_id},
                  {"skill": "hydraulic"}):  # fmt: skip
        page = shown(client, view="beyond", **query)
        assert answer(page).startswith("1 piece of work left out")
        assert "Swap blades" in words(page)
        assert "Engine oil and filter" not in words(page)
        assert "1 of 2 shown, by the choice above." in words(page)
    none = shown(client, view="beyond", yard=factories.Yard(shop=case.mechanic.shop).pk)
    assert "Everything has a day" not in words(none)
    by_one = shown(client, view="beyond", mechanic=case.ada.username)
    assert answer(by_one).startswith("2 pieces of work left out")
    assert "Work without a day has no mechanic yet" in words(by_one)
