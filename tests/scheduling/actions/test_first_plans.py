"""The first plan comes by itself when the last thing is there, and not before."""

from datetime import date, timedelta

import pytest
from django.db import transaction

from fleet.changed_facts import tell
from fleet.models import LastDoneAnswer
from scheduling.actions.first_plans import ask_first_plans
from scheduling.models import OutboxEntry, Plan, PlanSearch
from scheduling.tasks import sweep
from scheduling.worker.perform import perform_entry
from tests import factories
from tests.factories import NOON
from tests.pages import at_noon  # noqa: F401

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]


@pytest.fixture
def machine():
    """Everything is there but what was done last."""
    shop = factories.Shop()
    factories.Mechanic(shop=shop)
    machine = factories.Machine(tag="MX-1", yard__shop=shop, started_on=date(2025, 1, 1))
    factories.Reading(meter=factories.Meter(machine=machine), value=500.0)
    factories.Interval(makeup=machine.makeup, service__name="Oil change")
    return machine


def say(machine):
    LastDoneAnswer.objects.create(
        machine=machine, service=machine.makeup.intervals.get().service,
        answer=LastDoneAnswer.Answer.UNKNOWN, said_at=NOON - timedelta(hours=1),
    )  # fmt: skip


@pytest.fixture
def swept(django_capture_on_commit_callbacks):
    """Tell that facts of a machine changed, and let the worker sweep; return what is searched."""

    def change(machine):
        with django_capture_on_commit_callbacks(execute=True), transaction.atomic():
            tell([machine.pk])
        with django_capture_on_commit_callbacks(execute=False):  # the bell; nobody hears it here
            sweep()
        return PlanSearch.objects.filter(ended_at=None)

    return change


def test_it_is_asked_for_by_the_change_that_completes_the_set_up(machine, swept):
    assert not swept(machine)
    say(machine)
    search = swept(machine).get()
    assert (search.cause, search.by) == (PlanSearch.Cause.FIRST, None)
    entry = OutboxEntry.objects.get(kind=OutboxEntry.Kind.REPLAN)
    assert perform_entry(entry.pk, NOON)
    plan = Plan.objects.get()
    assert plan.jobs.get().machine == machine
    search.refresh_from_db()
    assert search.said.startswith("The first plan is made.")


def test_it_is_asked_for_once(machine, swept):
    say(machine)
    swept(machine)
    assert ask_first_plans(NOON) == []
    assert PlanSearch.objects.count() == 1


def test_a_shop_whose_plan_has_nothing_to_do_is_not_planned_again_and_again(machine, swept):
    say(machine)
    swept(machine)
    Plan.objects.filter(shop=machine.yard.shop).delete()
    PlanSearch.objects.update(ended_at=NOON)
    assert not swept(machine)


def test_looking_costs_one_query_where_no_shop_waits(django_assert_num_queries):
    factories.Shop.create_batch(3)
    with django_assert_num_queries(1):
        ask_first_plans(NOON)


def test_a_shop_with_a_plan_is_left_alone(machine, swept):
    say(machine)
    swept(machine)
    perform_entry(OutboxEntry.objects.get(kind=OutboxEntry.Kind.REPLAN).pk, NOON)
    assert ask_first_plans(NOON) == []
