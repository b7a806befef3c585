"""How long wrong sign-ins make the next one wait."""

from datetime import timedelta

import pytest

from fleet.sign_in_waits import LONGEST_WAIT, NONE, SHUT_FOR, WrongTries, say_wait, wait_after
from tests.factories import NOON

SECOND = timedelta(seconds=1)


def tries(count, every=SECOND):
    return [NOON - every * n for n in range(count)]


def test_ten_of_one_name_from_one_address_shut_it_there_for_a_quarter_of_an_hour():
    assert wait_after(WrongTries(tries(9), [], []), NOON) == NONE
    assert wait_after(WrongTries(tries(10), [], []), NOON) == SHUT_FOR
    assert wait_after(WrongTries(tries(10), [], []), NOON + SHUT_FOR) == NONE
    assert wait_after(WrongTries(tries(10), [], [], known=True), NOON) == SHUT_FOR


@pytest.mark.parametrize("which", ["of_name", "from_here"])
def test_many_elsewhere_or_of_other_names_wait_twice_as_long_each_time(which):
    def wait(count, **more):
        given = {"here": [], "of_name": [], "from_here": [], which: tries(count)}
        return wait_after(WrongTries(**given, **more), NOON)

    assert [wait(count) for count in (19, 20, 21, 24)] == [NONE, SECOND, 2 * SECOND, 16 * SECOND]
    assert wait(40) == wait(4000) == LONGEST_WAIT
    assert wait(4000, known=True) == NONE


def test_what_was_wrong_an_hour_ago_is_forgotten():
    old = [NOON - timedelta(hours=1)] * 50
    assert wait_after(WrongTries(old, old, old), NOON) == NONE


@pytest.mark.parametrize(
    ("seconds", "said"),
    [(0.2, "a second"), (8, "8 seconds"), (90, "2 minutes"), (841, "a quarter of an hour")],
)
def test_a_wait_is_said_as_people_do(seconds, said):
    assert say_wait(timedelta(seconds=seconds)) == said
