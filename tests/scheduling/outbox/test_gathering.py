"""One entry a transaction, whatever is rolled back of it: the row and what is done agree."""

from contextlib import suppress

import pytest
from django.db import transaction

from scheduling.models import OutboxEntry
from scheduling.outbox.gathering import gather, worked_out
from tests.factories import NOON

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def done():
    """What was done after commits: the payload of each entry as it stood then."""
    return []


@pytest.fixture
def tell(done):
    def do(pk, most):
        done.append(OutboxEntry.objects.get(pk=pk).payload)

    return lambda *machines: gather(machines, NOON, do)


class Undone(Exception):
    """Raised to roll a savepoint back."""


def rolled_back(*works):
    """Do works in a savepoint that is rolled back."""
    with suppress(Undone), transaction.atomic():
        for work in works:
            work()
        raise Undone


def test_many_are_told_and_one_entry_is_done_once(tell, done):
    with transaction.atomic():
        tell(1)
        with transaction.atomic():
            tell(2, 1)
        tell(3)
        assert not done
    assert done == [{"machines": [1, 2, 3]}]
    assert OutboxEntry.objects.count() == 1


def test_outside_a_transaction_each_is_done_at_once(tell, done):
    tell(1)
    tell(1)
    assert done == [{"machines": [1]}] * 2


def test_what_is_told_already_asks_no_query(tell, django_assert_num_queries):
    with transaction.atomic():
        tell(1, 2)
        with django_assert_num_queries(0):
            tell(2)
            tell(1)


def test_a_savepoint_rolled_back_takes_what_it_added(tell, done):
    with transaction.atomic():
        tell(1)
        rolled_back(lambda: tell(2))
    assert done == [{"machines": [1]}]


def test_a_savepoint_rolled_back_first_loses_nothing_told_after_it(tell, done):
    with transaction.atomic():
        rolled_back(lambda: tell(1))
        tell(1)
        rolled_back(lambda: tell(1, 2), lambda: tell(3))
    assert done == [{"machines": [1]}]


def test_told_again_after_its_savepoint_was_rolled_back(tell, done):
    with transaction.atomic():
        tell(1)
        rolled_back(lambda: tell(2))
        tell(2)
    assert done == [{"machines": [1, 2]}]


def test_a_savepoint_kept_inside_one_rolled_back_goes_with_it(tell, done):
    def kept_inside():
        with transaction.atomic():
            tell(2)
        tell(3)

    with transaction.atomic():
        tell(1)
        rolled_back(kept_inside)
        with transaction.atomic():
            tell(4)
    assert done == [{"machines": [1, 4]}]


def test_nothing_is_owed_where_all_of_it_is_rolled_back(tell, done):
    rolled_back(lambda: tell(1), lambda: tell(2))
    with transaction.atomic():
        rolled_back(lambda: tell(1))
    assert not done
    assert not OutboxEntry.objects.exists()


def test_the_next_transaction_owes_its_own(tell, done):
    rolled_back(lambda: tell(1))
    for _ in range(2):
        with transaction.atomic():
            tell(1)
    assert OutboxEntry.objects.count() == len(done) == 2


def test_what_fails_after_the_commit_leaves_the_entry_to_the_sweep():
    def fail(pk, most):
        raise RuntimeError("killed")

    with suppress(RuntimeError), transaction.atomic():
        gather([1], NOON, fail)
        gather([2], NOON, fail)
    entry = OutboxEntry.objects.get()
    assert (entry.payload, entry.done_at) == ({"machines": [1, 2]}, None)


class TestWorkedOut:
    def test_what_was_told_before_and_inside_is_only_warned_of(self, tell, done):
        with transaction.atomic():
            tell(1, 2)
            with worked_out([1]):
                tell(1)
        assert done == [{"machines": [1, 2], "worked_out": [1]}]

    def test_told_first_inside(self, tell, done):
        with transaction.atomic(), worked_out([1]):
            tell(1)
            tell(2)
        assert done == [{"machines": [1, 2], "worked_out": [1]}]

    def test_told_again_afterwards_it_is_owed_again(self, tell, done):
        with transaction.atomic():
            with worked_out([1]):
                tell(1)
            tell(1)
        assert done == [{"machines": [1]}]

    def test_a_savepoint_rolled_back_inside_leaves_the_mark(self, tell, done):
        with transaction.atomic():
            tell(1)
            with worked_out([1]):
                rolled_back(lambda: tell(1))
        assert done == [{"machines": [1], "worked_out": [1]}]

    def test_a_mark_is_rolled_back_with_what_was_written(self, tell, done):
        def write():
            with worked_out([1]):
                tell(1)

        with transaction.atomic():
            tell(1)
            rolled_back(write)
        assert done == [{"machines": [1]}]
