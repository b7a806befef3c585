import pytest

from scheduling.core.planner.answer.week import Bottleneck, Supply

SAID = [
    (Supply("mechanic", "w", 30.0, 40.0), "mechanic w (30.0 of 40.0 h used)"),
    (
        Supply("skill", "electric", 30.0, 40.0, 12.5, 3),
        "skill electric (30.0 of 40.0 h used): an hour more on day 3 would be worth about 12.50",
    ),
    (
        Supply("bay", "y", 9.5, 10.0, 80.0, 1),
        "the bays of y (9.5 of 10.0 bay-days used): half a bay-day more on day 1 would be worth "
        "about 80.00",
    ),
]


@pytest.mark.parametrize(("supply", "words"), SAID)
def test_what_is_scarce_is_said_with_its_worth(supply, words):
    assert supply.words() == words
    week = Bottleneck("y", 0, 0, 6, supply, ())
    assert week.sentence() == f"Short on days 0 to 6 is {words}."


def test_a_week_with_room_says_so():
    assert Bottleneck("y", 1, 7, 13, None, ()).sentence() == "Nothing is short on days 7 to 13."
