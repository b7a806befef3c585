"""The pull list: added up, held against the shelf, nothing guessed."""

from datetime import timedelta

import pytest

from fleet.models import FittingPart, Part, StockMovement
from scheduling.models import PlannedWork
from scheduling.queries.planned_parts import planned_parts
from scheduling.queries.pull_list import pull_list, pulls_of
from tests import consequences, factories
from tests.factories import NOON, TODAY
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db


def pulls(case) -> dict[str, object]:
    listed = pull_list([case.work], case.mechanic.shop, TODAY)
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
    unknown = pull_list([case.work], case.mechanic.shop, TODAY).unknown
    assert unknown == [f"sump washer of {case.machine.makeup}"]


def test_tools_are_listed_once_each():
    case = bench_case()
    listed = pull_list([case.work, case.work], case.mechanic.shop, TODAY)
    assert listed.tools == ["19 mm socket", "pan"]


def test_no_work_needs_nothing():
    assert pull_list([], None, TODAY).pulls == []


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
    listed = pull_list([case.work, *works], case.mechanic.shop, TODAY)
    return next(pull for pull in listed.pulls if pull.need.part == filter_of(case))


def instead(pull):
    return [(one.part.number, one.quantity, one.tags) for one in pull.instead]


def test_two_lists_of_a_day_do_not_count_on_the_same_part(case):
    """One of each lies there; another list's machine comes first that day and takes the filter."""
    lie(case, long_filter(), 1)
    lie(case, filter_of(case), 1)
    earlier = other_work(case)
    case.job.position = 9
    case.job.save()
    pull = wanted(case)  # of the first machine alone
    assert (instead(pull), pull.instead[0].kept, pull.short) == ([("OF-2", 1, ())], True, False)
    theirs = pull_list([earlier], case.mechanic.shop, TODAY)
    (filters,) = [one for one in theirs.pulls if one.need.part == filter_of(case)]
    assert (instead(filters), filters.short) == ([], False)


def test_work_that_goes_without_says_so_though_one_lies_there_for_other_work(case):
    lie(case, filter_of(case), 1)
    other_work(case)
    case.job.position = 9
    case.job.save()
    pull = wanted(case)
    assert (pull.on_hand, pull.lacks, pull.short) == (1, 0, True)


def test_places_are_matched_whatever_their_capitals(case):
    FittingPart.objects.update(place="Oil Filter")
    lie(case, long_filter(), 3)
    pull = wanted(case)
    assert instead(pull) == [("OF-2", 1, ())]


def test_work_under_way_has_its_part_already(case):
    lie(case, filter_of(case), 1)
    lie(case, long_filter(), 1)
    begun = other_work(case)
    begun.begun = True
    begun.save()
    begun.job.day, begun.job.position = TODAY - timedelta(days=1), 9
    begun.job.save()
    assert instead(wanted(case)) == [("OF-2", 1, ())]


@pytest.mark.parametrize("number", [1, 6])
def test_the_number_of_queries_does_not_grow(case, number, django_assert_num_queries):
    lie(case, long_filter(), 9)
    works = [case.work]
    for n in range(number):
        machine = factories.Machine(tag=f"R-{n}", yard=case.machine.yard)
        FittingPart.objects.create(
            makeup=machine.makeup, place="oil filter", part=factories.Part(),
            instead=long_filter(),
        )  # fmt: skip
        job = consequences.PlannedJob(plan=case.job.plan, machine=machine, mechanic=case.mechanic)
        works.append(consequences.PlannedWork(job=job, machine=machine, service=case.service))
    fresh = list(PlannedWork.objects.filter(pk__in=[one.pk for one in works]))
    with django_assert_num_queries(21):
        pulls_of(fresh, case.mechanic.shop, planned_parts(case.mechanic.shop, TODAY))


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
