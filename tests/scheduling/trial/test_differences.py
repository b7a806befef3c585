"""The one sentence of a trial, and how sure its money is."""

from datetime import date
from types import SimpleNamespace

import pytest

from scheduling.core.planner import Change, Difference, Spot, TaskMove
from scheduling.trial.changes import DayClosed
from scheduling.trial.differences import TrialOutcome, _place, _sentence

TODAY = date(2026, 3, 2)
FACTS = SimpleNamespace(horizon=SimpleNamespace(first=TODAY))


def said(before, after, left_open=0.0, late=0.0, moved=()):
    none = Change(0.0, 0.0)
    difference = Difference(
        moved=tuple(moved), planned=(), deferred=(), new=(), gone=(), kept=3,
        overdue_days=Change(10.0, 10.0 + late), lost_bookings=((), ("7",)), money={},
        total=Change(before, after), clashes=none,
    )  # fmt: skip
    closed = DayClosed(date(2026, 3, 4))
    return _sentence(TrialOutcome([closed], FACTS, None, difference, {}, 0, left_open))


@pytest.mark.parametrize(
    ("given", "end"),
    [
        ((100.0, 150.0), "the plan costs $50.00 more."),
        ((150.0, 100.0), "the plan costs $50.00 less."),
        ((100.0, 100.001), "the plan costs the same."),
        ((100.0, 150.0, 20.0), "$50.00 more (the search leaves $20.00 open)."),
        ((100.0, 150.0, 60.0), "$50.00 more (cannot tell yet: the search leaves $60.00 open)."),
        ((100.0, 100.0, 60.0), "the same (cannot tell yet: the search leaves $60.00 open)."),
        ((100.0, 150.0, 100.0), "(there was no time to tell how near the best either plan is)."),
        ((100.0, 150.0, 0.0, 1.0), "$50.00 more, and 1 day more overdue is expected."),
        ((100.0, 150.0, 0.0, -2.5), "$50.00 more, and 2.5 days fewer overdue are expected."),
    ],
)  # fmt: skip
def test_the_money_is_said_with_how_sure_it_is(given, end):
    assert said(*given).endswith(end)


def test_moves_and_lost_bookings_are_counted():
    moved = [TaskMove("a", None, None), TaskMove("b", None, None)]
    assert said(1.0, 2.0, moved=moved).startswith(
        "With the shop closed on Wed 4 Mar, 2 pieces of work move and 1 booking is lost; the plan"
    )


def test_a_place_names_who_helps_since_that_alone_may_change():
    """Else a move reads from Thu 24 Dec with Ada to Thu 24 Dec with Ada."""
    people = [
        SimpleNamespace(username=name.lower(), name=name, account="") for name in ("Ada", "Bo")
    ]
    facts = SimpleNamespace(workers=people, horizon=SimpleNamespace(date=lambda _: TODAY))
    alone, helped = _place(Spot(0, "ada"), facts), _place(Spot(0, "ada", "bo"), facts)
    assert (alone["mechanic"], alone["second"]) == ("Ada", "")
    assert (helped["mechanic"], helped["second"]) == ("Ada", "Bo")
