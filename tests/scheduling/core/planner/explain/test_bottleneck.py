from dataclasses import replace

import numpy as np
import pytest

from scheduling.core.planner import read_problem
from scheduling.core.planner.bound.shadow_prices import ShadowPrices
from scheduling.core.planner.explain.bottleneck import bottlenecks
from scheduling.core.planner.problem.entities import Spot
from scheduling.wording import plan_file, week_sentence
from tests.benchmarks.plan_instances import (
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
    yard,
)
from tests.scheduling.core.planner.cases import IDS, plan

DAYS = 10


def shop(skill="general"):
    """Two mechanics and a piece of work that fills a day for each."""
    return read_problem(
        instance(
            DAYS,
            yards=[plain_yard(bays=2)],
            mechanics=[
                plain_mechanic("w", [8.0] * DAYS, skills=["general", "electric"]),
                plain_mechanic("x", [0.0] * 3 + [8.0] * 7),
            ],
            machines=[plain_machine("m", DAYS), plain_machine("n", DAYS)],
            tasks=[plain_task("t", "m", 8.0, 2.0, skill=skill), plain_task("u", "n", 8.0, 2.0)],
        )
    )


BUSY = {"t": Spot(4, "w"), "u": Spot(4, "x")}
"""Both are full on day 4."""


def worths(bay=0.0, w=0.0, x=0.0):
    """Worths on day 4 alone."""
    hours, bays = np.zeros((DAYS, 2)), np.zeros(DAYS)
    hours[4], bays[4] = (w, x), bay
    return ShadowPrices(("w", "x"), hours, 2 * bays)


SCARCE = [
    (worths(bay=9.0, w=5.0, x=5.0), "general", ("bay", "y")),
    (worths(w=5.0, x=5.0), "general", ("skill", "general")),  # everybody who holds it
    (worths(w=5.0), "electric", ("skill", "electric")),  # the only one who holds it
    (worths(w=5.0), "general", ("mechanic", "w")),  # whose time goes into other work
    (worths(x=5.0), "general", ("mechanic", "x")),  # general has others
    (worths(), "general", None),
]


@pytest.mark.parametrize(("known", "skill", "scarce"), SCARCE)
def test_the_scarcest_is_named_for_what_it_is(known, skill, scarce):
    first, second = bottlenecks(shop(skill), BUSY, known)
    named = first.scarce and (first.scarce.kind, first.scarce.name)
    assert named == scarce
    assert second.scarce is None
    assert (second.first_day, second.last_day) == (7, 9)


def test_a_skills_worth_is_the_mean_of_those_who_are_there():
    known = worths(w=6.0, x=2.0)
    known.hour[1] = (7.0, 0.0)  # x is not there on day 1
    rows = {}
    for day in (1, 4):
        (first, _) = bottlenecks(shop(), {"t": Spot(day, "w"), "u": Spot(4, "x")}, known)
        rows[day] = {row.name: row for row in (first.scarce, *first.others) if row}
    assert (rows[1]["general"].worth, rows[1]["general"].day) == (7.0, 1)
    assert (rows[4]["general"].worth, rows[4]["general"].day) == (4.0, 4)
    assert rows[1]["x"].worth == 2.0


def test_day_with_room_left_needs_no_hour_more():
    (first, _) = bottlenecks(shop(), {"t": Spot(2, "w")}, worths(bay=9.0, w=5.0, x=5.0))
    assert first.scarce is None
    assert {row.worth for row in first.others} == {0.0}


def test_a_skill_that_nobody_holds_is_worth_nothing_known():
    case = shop()
    case.tasks["t"] = replace(case.tasks["t"], skill="examiner")
    (first, _) = bottlenecks(case, BUSY, worths(w=6.0))
    assert next(r for r in first.others if r.name == "examiner").worth == 0.0


def test_without_worths_it_is_what_is_nearly_full():
    places = {"t": Spot(2, "w")}
    assert bottlenecks(shop(), places, None)[0].scarce is None
    short = shop()
    short.mechanics["w"] = replace(short.mechanics["w"], hours=(0.0, 0.0, 8.0) + (0.0,) * 7)
    (first, _) = bottlenecks(short, places, None)
    assert first.scarce is not None
    assert first.scarce.name == "w"
    assert week_sentence(first, IDS) == "Days 0 to 6: short of the time of w (8.0 of 8.0 h used)."


def test_a_plan_names_a_bottleneck_for_each_yard_and_week():
    result = plan(yard(machines=60, mechanics=2, days=21, seed=2), 3.0)
    assert [(w.yard, w.week) for w in result.weeks] == [("y", 0), ("y", 1), ("y", 2)]
    busy = result.weeks[0]
    assert busy.scarce is not None
    assert busy.scarce.worth > 0
    assert "would be worth about" in week_sentence(busy, IDS)
    assert [w["why"] for w in plan_file(result)["weeks"]] == [
        week_sentence(w, IDS) for w in result.weeks
    ]
