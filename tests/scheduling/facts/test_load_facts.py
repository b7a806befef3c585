import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from scheduling.facts.load_facts import load_facts
from scheduling.facts.scope import Scope
from tests import factories as make
from tests.scheduling.cases import NOW, serviced, steady

pytestmark = pytest.mark.django_db


def test_all_facts_with_a_number_of_queries_that_does_not_grow():
    makeup, yard = make.MakeUp(), make.Yard()
    service = make.Interval(makeup=makeup).service

    def count(machines):
        for _ in range(machines):
            machine = make.Machine(makeup=makeup, yard=yard)
            steady(machine, every=30)
            serviced(machine, service, 30)
            make.Booking(machine=machine)
            make.Hold(machine=machine)
            make.Finding(machine=machine, calls_for=service)
            machine.storages.create(first_day=NOW.date())
        with CaptureQueriesContext(connection) as seen:
            facts = load_facts(Scope(yard.shop_id), NOW)
        assert len(facts.holds) == len(facts.calls) == len(facts.machines)
        return len(seen)

    assert count(2) == count(8)
