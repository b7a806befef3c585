"""What stood on lists: as days began, and as they had been published before."""

import pytest

from fleet.work_keys import repair_key
from scheduling.hindsight.listed import load_entries
from tests import factories
from tests.factories import key_of
from tests.scheduling.hindsight.list_case import ListCase

pytestmark = pytest.mark.django_db


@pytest.fixture
def case():
    return ListCase()


def entries(case, first=0, last=6):
    return load_entries(case.shop, case.day(first), case.day(last))


def test_kept_list_is_read_back(case):
    case.keep(1)
    (entry,) = entries(case)
    assert (entry.day, entry.tag, entry.title) == (case.day(1), "Q-1", "Oil change")
    assert (entry.mechanic, entry.minutes, entry.moved) == ("Jo", 60, False)


def test_other_days_and_other_shops_stay_out(case):
    case.keep(7)
    other = factories.Shop()
    assert entries(case) == []
    assert load_entries(other, case.day(0), case.day(9)) == []


def test_published_work_counts_where_no_list_was_kept(case):
    case.publish(3, made=0)
    (entry,) = entries(case)
    assert (entry.day, entry.made, entry.title) == (case.day(3), case.at(0, 12), "Oil change")
    assert not entry.moved


def test_published_work_that_its_day_began_without_was_moved(case):
    case.publish(3, made=0)
    case.keep(3, case.row(work_key="f:2"))
    assert [(e.work_key, e.moved) for e in entries(case)] == [
        ("f:2", False), (key_of("Q-1", "oil"), True),
    ]  # fmt: skip


def test_work_on_both_is_one_entry(case):
    case.publish(3, made=0)
    case.keep(3)
    assert [entry.moved for entry in entries(case)] == [False]


def test_last_release_before_the_day_counts(case):
    case.publish(3, made=0)
    case.publish(4, made=1)
    assert [entry.day for entry in entries(case)] == [case.day(4)]


def test_what_is_published_on_a_day_comes_too_late_for_it(case):
    case.publish(3, made=3)
    assert entries(case) == []


@pytest.mark.parametrize(
    "key", ["m:987654321:{oil}", "m:{quad}:987654321", "f:987654321", "s:GONE:oil", "f:x"]
)
def test_work_whose_machine_or_service_has_gone_is_left_out(case, key):
    case.publish(3, made=0, key=key.format(quad=case.machine.pk, oil=case.oil.pk))
    assert entries(case) == []


def test_published_repair_is_found(case):
    finding = factories.Finding(machine=case.machine, minutes=30)
    case.publish(3, made=0, key=repair_key(finding.pk))
    (entry,) = entries(case)
    assert (entry.finding, entry.title, entry.minutes) == (finding.pk, "hydraulic hose chafed", 30)


def test_number_of_queries_does_not_grow(case, django_assert_max_num_queries):
    for day in range(5):
        case.keep(day)
        case.publish(day + 1, made=day)
    with django_assert_max_num_queries(7):
        assert len(entries(case)) >= 5
