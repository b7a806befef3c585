"""Changes as people say them."""

import pytest

from scheduling.trial.change_words import say_change, say_changes, say_money_change, say_outcome
from scheduling.trial.changes import DayClosed, PartGone
from tests.factories import TODAY
from tests.scheduling.trial.every_change import EVERY, day

SAID = [
    "the shop closed on Tue 3 Mar",
    "the shop open for 6 h on Sat 7 Mar",
    "Ada Brook away Tue 3 Mar to Wed 4 Mar",
    "Sam (general) lent Wed 4 Mar to Thu 5 Mar, 8 h a day",
    "oil filter coming on Wed 11 Mar",
    "no oil filter on the shelf",
    "M-1 booked Thu 5 Mar to Sun 8 Mar for Two Pines",
    "M-1 out until Wed 4 Mar",
    "Oil change of M-1 moved to Wed 4 Mar",
    "Oil change of M-1 taking 3 h",
    "2 h more overtime each on Tue 3 Mar",
    "1 bay lost Tue 3 Mar to Thu 5 Mar",
    "M-1 broken down",
]


@pytest.mark.parametrize(("change", "said"), list(zip(EVERY, SAID, strict=True)))
def test_a_change_is_a_phrase(change, said):
    assert say_change(change, TODAY) == said


def test_several_changes_are_one_phrase():
    changes = [DayClosed(day(1)), PartGone(1, "belt", 2.0)]
    assert say_changes(changes, TODAY) == (
        "the shop closed on Tue 3 Mar and only 2 of belt on the shelf"
    )


@pytest.mark.parametrize(
    ("counts", "said"),
    [
        ((0, 0, 0, 0), "no work moves"),
        ((1, 0, 0, 0), "1 piece of work moves"),
        ((7, 2, 1, 0), "7 pieces of work move, 2 pieces more are put beyond the plan and 1 booking is lost"),  # noqa: E501
        ((2, 0, 0, 3), "2 pieces of work move and 3 bookings are saved"),
    ],
)  # fmt: skip
def test_what_follows_is_counted(counts, said):
    assert say_outcome(*counts) == said


@pytest.mark.parametrize(
    ("by", "said"), [(0.001, "the same"), (12.5, "$12.50 more"), (-12.5, "$12.50 less")]
)
def test_money_is_said_as_more_or_less(by, said):
    assert say_money_change(by, "$12.50") == f"the plan costs {said}"
