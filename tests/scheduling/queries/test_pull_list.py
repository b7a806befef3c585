"""The pull list: added up, held against the shelf, nothing guessed."""

import pytest

from fleet.models import FittingPart, Part, StockMovement
from scheduling.queries.pull_list import pull_list
from tests import consequences, factories
from tests.factories import NOON
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db


def pulls(case) -> dict[str, object]:
    listed = pull_list([case.work], case.mechanic.shop)
    return {pull.need.part.number: pull for pull in listed.pulls}


def test_fluids_and_parts_come_from_the_make_up():
    got = pulls(bench_case())
    assert (got["OIL"].need.quantity, got["OF-1"].need.quantity) == (2000, 1)


def test_what_the_shelf_lacks_is_marked_short():
    case = bench_case()
    StockMovement.objects.create(
        part=Part.objects.get(number="OF-1"),
        shop=case.mechanic.shop,
        quantity=1,
        reason="count",
        at=NOON,
    )
    got = pulls(case)
    assert got["OIL"].short
    assert not got["OF-1"].short


def test_a_place_without_a_part_is_named_not_guessed():
    case = bench_case()
    unknown = pull_list([case.work], case.mechanic.shop).unknown
    assert unknown == [f"sump washer of {case.machine.makeup}"]


def test_tools_are_listed_once_each():
    case = bench_case()
    listed = pull_list([case.work, case.work], case.mechanic.shop)
    assert listed.tools == ["19 mm socket", "pan"]


def test_no_work_needs_nothing():
    assert pull_list([], None).pulls == []


def lie(case, part, quantity):
    StockMovement.objects.create(
        part=part, shop=case.mechanic.shop, quantity=quantity, reason="count", at=NOON
    )


@pytest.fixture
def case():
    """One oil filter is wanted; a long one does in its place."""
    case = bench_case()
    FittingPart.objects.update(instead=factories.Part(number="OF-2", name="long filter"))
    return case


def long_filter():
    return Part.objects.get(number="OF-2")


def other_work(case, **place):
    """The same service on a second machine, whose make-up names nothing in place of the filter."""
    machine = factories.Machine(tag="Q-2", yard=case.machine.yard)
    FittingPart.objects.create(
        **{"makeup": machine.makeup, "place": "oil filter", "part": filter_of(case), **place}
    )
    job = consequences.PlannedJob(plan=case.job.plan, machine=machine, mechanic=case.mechanic)
    return consequences.PlannedWork(job=job, machine=machine, service=case.work.service)


def filter_of(case):
    return Part.objects.get(number="OF-1")


def wanted(case, *works):
    listed = pull_list([case.work, *works], case.mechanic.shop)
    return next(pull for pull in listed.pulls if pull.need.part == filter_of(case))


def instead(pull):
    return [(one.part.number, one.quantity, one.tags) for one in pull.instead]


def test_what_lacks_is_pulled_as_what_does_in_its_place_and_nothing_is_short(case):
    lie(case, long_filter(), 3)
    pull = wanted(case)
    assert (instead(pull), pull.short) == ([("OF-2", 1, ())], False)


def test_what_lies_there_itself_is_pulled(case):
    lie(case, long_filter(), 3)
    lie(case, filter_of(case), 1)
    assert instead(wanted(case)) == []


def test_a_substitute_that_lacks_too_is_not_pulled(case):
    pull = wanted(case)
    assert (instead(pull), pull.short) == ([], True)


def test_what_another_job_takes_is_not_to_spare(case):
    """The long filter fits the second machine itself, and one lies there."""
    lie(case, long_filter(), 1)
    second = other_work(case, part=long_filter())
    assert instead(wanted(case, second)) == []


def test_it_is_pulled_for_the_machine_alone_on_which_it_does(case):
    """One of each lies there; the first machine takes either, the second the filter alone."""
    lie(case, long_filter(), 5)
    lie(case, filter_of(case), 1)
    pull = wanted(case, other_work(case))
    assert (instead(pull), pull.short) == ([("OF-2", 1, ("Q-1",))], False)


def test_it_makes_up_for_no_more_than_the_machine_takes_on_which_it_does(case):
    lie(case, long_filter(), 5)
    pull = wanted(case, other_work(case))
    assert (instead(pull), pull.short) == ([("OF-2", 1, ("Q-1",))], True)
