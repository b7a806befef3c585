"""What planned work takes from the shelf."""

import pytest

from fleet.models import FittingPart, Fluid, ServiceNeed
from scheduling.queries.shelf_needs import Need, needs_of
from tests import consequences, factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def work():
    """Two machines of one make-up with the same service: oil by half its capacity, two filters."""
    makeup, service = factories.MakeUp(), factories.Service()
    oil = factories.Part(name="engine oil 10W-30", number="F-1", kind="fluid")
    Fluid.objects.create(makeup=makeup, place="engine oil", capacity_ml=4000, part=oil)
    FittingPart.objects.create(
        makeup=makeup, place="oil filter", part=factories.Part(number="P-1"), quantity=2
    )
    ServiceNeed.objects.create(service=service, place="engine oil", share=0.5)
    ServiceNeed.objects.create(service=service, place="oil filter")
    ServiceNeed.objects.create(service=service, place="air filter")  # this make-up has none
    return [
        consequences.PlannedWork(job__machine__makeup=makeup, service=service) for _ in range(2)
    ]


def shown(needs: list[Need]) -> list[tuple[str, float, bool]]:
    return [(need.name, need.quantity, need.fluid) for need in needs]


def test_fluids_and_parts_are_added_up_fluids_first(work):
    assert shown(needs_of(work)) == [
        ("F-1 engine oil 10W-30", 4000, True),
        ("P-1 oil filter", 4, False),
    ]


def test_a_fluid_that_is_not_on_the_shelf_goes_by_place_and_grade(work):
    Fluid.objects.update(part=None, grade="10W-30")
    assert shown(needs_of(work))[0] == ("engine oil 10W-30", 4000, True)


def test_a_repair_takes_nothing_that_is_known(work):
    repair = consequences.PlannedWork(service=None, work_key="f:1")
    assert needs_of([repair]) == []


def test_queries_do_not_grow_with_the_work(work, django_assert_max_num_queries):
    with django_assert_max_num_queries(8):
        needs_of(work)
