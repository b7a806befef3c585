"""A class in one line."""

import pytest

from scheduling.availability.answer import answer
from scheduling.availability.counter_facts import StandingBooking
from scheduling.availability.headline import headline, one_of, several
from scheduling.models import Block
from tests.factories import TODAY
from tests.scheduling.availability.known import DAYS, block, booking, machine, standing

LIMIT = {"blocks": [block(Block.Kind.LIMIT, due_point_id=5, hard=True)]}
AWAY = {"promises": [StandingBooking(booking(3, 4))]}
HELD = {"blocks": [block(Block.Kind.HOLD, hard=True)]}
OVERDUE = {"blocks": [block(Block.Kind.OVERDUE)]}


def answers(*facts):
    return [
        answer(standing(machine=machine(pk), **own), DAYS, TODAY) for pk, own in enumerate(facts)
    ]


def test_all_groups_in_their_order():
    line = headline("Side-by-side", "today", answers(HELD, OVERDUE, LIMIT, AWAY, LIMIT, {}))
    assert line == (
        "6 side-by-sides today: 1 now, 2 after shop work, 1 away, 1 held, 1 to be serviced first."
    )


def test_none_is_said_and_one_is_one():
    assert headline("Quad", "today", answers(AWAY)) == "1 quad today: none may go, 1 away."


def test_the_groups_add_up():
    line = headline("Quad", "on 5 2", answers({}, AWAY, HELD))
    assert line == "3 quads on 5 2: 1 now, 1 away, 1 held."


@pytest.mark.parametrize(
    ("name", "one", "many"),
    [
        ("Skid steer", "skid steer", "skid steers"),
        ("UTV", "UTV", "UTVs"),
        ("Winch", "winch", "winches"),
        ("Quads", "quads", "quads"),
        ("TV Tower", "TV Tower", "TV Towers"),
    ],
)
def test_a_name_in_a_sentence(name, one, many):
    assert (one_of(name), several(name)) == (one, many)
