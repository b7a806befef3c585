"""The pull list: added up, held against the shelf, nothing guessed."""

import pytest

from fleet.models import Part, StockMovement
from scheduling.queries.pull_list import pull_list
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
