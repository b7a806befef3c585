import pytest

from scheduling.core.planner import Bottleneck, Supply
from scheduling.wording import IdNames, week_sentence

SAID = [
    (Supply("mechanic", "w", 30.0, 40.0), "the time of w (30.0 of 40.0 h used)"),
    (
        Supply("skill", "electric", 30.0, 40.0, 12.5, 3),
        "people with the skill electric (30.0 of 40.0 h used); one more hour on day 3 would be "
        "worth about 12.50",
    ),
    (
        Supply("bay", "y", 9.5, 10.0, 80.0, 1),
        "room in the bays of yard y (9.5 of 10.0 bay-days used); half a day more of a bay on day 1 "
        "would be worth about 80.00",
    ),
]


@pytest.mark.parametrize(("supply", "words"), SAID)
def test_what_is_scarce_is_said_with_its_worth(supply, words):
    week = Bottleneck("y", 0, 0, 6, supply, ())
    assert week_sentence(week, IdNames()) == f"Days 0 to 6: short of {words}."


def test_a_week_with_room_says_so():
    week = Bottleneck("y", 1, 7, 13, None, ())
    assert week_sentence(week, IdNames()) == "Days 7 to 13: nothing is short."
