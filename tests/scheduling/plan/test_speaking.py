"""What a plan says of itself, in words of the shop; nothing is solved."""

from dataclasses import replace
from datetime import date

import pytest

from scheduling.core.planner import (
    Bottleneck,
    CostCounts,
    PlaceReason,
    Relaxation,
    RelaxationKind,
    Result,
    Spot,
    Supply,
)
from scheduling.plan.decided import Decided
from scheduling.plan.speaking import cost_words, ways_out, week_words, why_it_waits
from tests.scheduling.plan.one_quad import FACTS, OIL, facts

OVERTIME = Relaxation(RelaxationKind.OVERTIME, Spot(2, "ada"), 1.5, "ada", 12.0, (2, 2))


def result(**more):
    return Result((), (OIL.key,), (), {}, 0.0, 0.0, "optimal", **more)


def week(scarce):
    return result(weeks=(Bottleneck("shop", 0, 0, 4, scarce, ()),))


def test_each_term_says_what_it_pays_for():
    counts = CostCounts(*(0,) * 10, 1.0, 1, *(0,) * 4)
    said = cost_words(result(counts=counts))
    assert said["overtime"] == "1.0 h of overtime over 1 mechanic day"


@pytest.mark.parametrize(
    ("scarce", "said"),
    [
        (None, "nothing is short."),
        (Supply("skill", "hydraulic", 31.8, 34.0, 38.0, 3),
         "short of people with the skill hydraulic (31.8 of 34.0 h used); one more hour on "
         "Thu 5 Mar would be worth about $38.00."),
        (Supply("skill", "any", 40.0, 40.0, 5.0, 1),
         "short of everybody's time (40.0 of 40.0 h used); one more hour on Tue 3 Mar would be "
         "worth about $5.00."),
        (Supply("mechanic", "ada", 8.0, 8.0, 9.5, 0),
         "short of the time of Ada Brook (8.0 of 8.0 h used); one more hour on Mon 2 Mar would be "
         "worth about $9.50."),
        (Supply("bay", "shop", 9.0, 10.0, 70.0, 4),
         "short of room in the bays of the shop (9.0 of 10.0 bay-days used); half a day more of a "
         "bay on Fri 6 Mar would be worth about $70.00."),
        (Supply("mechanic", "ada", 8.0, 8.0),
         "short of the time of Ada Brook (8.0 of 8.0 h used)."),
    ],
)  # fmt: skip
def test_week_says_what_is_scarce_and_what_more_is_worth(scarce, said):
    assert week_words(week(scarce), FACTS) == [f"Mon 2 Mar to Fri 6 Mar: {said}"]


def test_work_that_waits_says_what_the_planner_weighed_and_its_ways_out_apart():
    reason = PlaceReason(
        waits=True, other=Spot(3, "ada"), more=(("visit", 32.0),), gives=(OVERTIME,)
    )
    found = result(deferred_reasons={OIL.key: reason})
    said = why_it_waits(OIL, found, FACTS)
    assert "The cheapest free place, Thu 5 Mar with Ada Brook, would cost $32.00 more" in said
    assert "h more from" not in said
    (way,) = ways_out(OIL, found, FACTS)
    assert way.startswith("With 1.5 h more from Ada Brook on Wed 4 Mar, it could be done on Wed 4")
    assert way.endswith("for $12.00 more.")


def test_plain_hindrance_is_said_instead():
    found = result(deferred_reasons={OIL.key: PlaceReason(waits=True)})
    assert "Nobody works in the shop" in why_it_waits(OIL, found, facts(workers=[]))
    later = facts(decided=Decided({}, {OIL.key: date(2026, 5, 4)}, {}, {}))
    assert why_it_waits(OIL, found, later).startswith("Pinned to Mon 4 May")


def test_work_that_nobody_had_time_to_weigh_gets_a_plain_sentence():
    assert why_it_waits(OIL, result(), FACTS).startswith("No room for it")
    assert ways_out(OIL, result(), FACTS) == []


def test_three_ways_out_are_enough():
    gives = tuple(replace(OVERTIME, amount=hours) for hours in (1.0, 2.0, 3.0, 4.0))
    found = result(deferred_reasons={OIL.key: PlaceReason(waits=True, gives=gives)})
    assert len(ways_out(OIL, found, FACTS)) == 3
