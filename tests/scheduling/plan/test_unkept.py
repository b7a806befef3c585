"""Which limits, pins and frozen places cannot be kept, without solving anything."""

from dataclasses import replace
from datetime import date

import pytest

from scheduling.core.planner import (
    BusyMechanic,
    Clash,
    ClashDays,
    ClashLimit,
    Conflict,
    ConflictKind,
    LimitKind,
    Result,
)
from scheduling.plan.decided import Decided, DecidedSpot
from scheduling.plan.unkept import cannot_keep, unkept
from tests.scheduling.plan.one_quad import ADA, FACTS, OIL, facts


def result(*clashes, deferred=()):
    return Result((), deferred, (), {}, 0.0, 0.0, "optimal", clashes)


def pinned(day, later=None):
    pins = {} if day is None else {OIL.key: DecidedSpot(day, None)}
    decided = Decided(pins, {} if later is None else {OIL.key: later}, {}, {})
    return facts(decided=decided, work=[replace(OIL, limit_day=2)])


@pytest.mark.parametrize(
    ("found", "said"),
    [
        (pinned(2), []),
        (pinned(3), ["Q-1, Oil change: pinned to Thu 5 Mar, after its hard limit Wed 4 Mar; "]),
        (pinned(None, date(2026, 5, 4)), ["Q-1, Oil change: pinned to Mon 4 May, after its hard"]),
    ],
)
def test_pin_after_a_hard_limit_is_named(found, said):
    sentences = cannot_keep(result(), found)
    assert len(sentences) == len(said)
    assert all(each.startswith(start) for each, start in zip(sentences, said, strict=True))


def test_clash_stands_beside_its_work_with_dates_and_names():
    busy = Conflict(ConflictKind.HOURS_TAKEN, busy=(BusyMechanic("ada", 8.0, 8.0),))
    pin = ClashLimit(LimitKind.PIN, 3, "ada")
    clash = Clash(OIL.key, pin, (ClashDays(((3, 3),), busy),))
    assert unkept(result(clash), FACTS) == {
        OIL.key: "the pin on Thu 5 Mar with Ada Brook cannot be kept; "
        "Thu 5 Mar: Ada Brook has 8 of 8 h taken."
    }


def test_work_past_its_hard_limit_that_finds_no_day_says_so():
    found = facts(work=[replace(OIL, past_limit=True)])
    assert unkept(result(deferred=(OIL.key,)), found)[OIL.key].startswith("past its hard limit.")


def test_pin_to_somebody_without_the_skill_says_that_somebody_else_does_it():
    decided = Decided({OIL.key: DecidedSpot(2, "ada")}, {}, {}, {})
    found = facts(decided=decided, work=[replace(OIL, skill="inspector")], workers=[ADA])
    assert "Ada Brook, who does not hold the skill inspector" in unkept(result(), found)[OIL.key]


def test_nothing_is_said_of_what_is_kept():
    assert unkept(result(), FACTS) == {}
