from dataclasses import fields

import pytest

from scheduling.core.planner import Tuning
from scheduling.core.planner.control.search_tuning import RANGES
from tests.benchmarks.plan_instances import small
from tests.scheduling.core.planner.cases import plan


@pytest.mark.parametrize(
    "bad",
    [
        {"standing_margin": -0.1},
        {"rounds_after": -1},
        {"rounds_alone": 0},
        {"tries": -1},
        {"first_work": 0.0},
        {"more_work": float("nan")},
        {"series": 0},
        {"cells": 0},
        {"diving": -0.1},
        {"visits": ()},  # nothing to draw from
        {"visits": (6, 0)},
        {"growth": 0.9},
        {"shrinking": 0.0},
    ],
)
def test_a_constant_that_cannot_be_meant_is_refused_by_name(bad):
    with pytest.raises(ValueError, match=next(iter(bad))):
        Tuning(**bad)


def test_every_constant_has_a_range():
    assert {field.name for field in fields(Tuning)} == set(RANGES)


def test_another_tuning_finds_the_same_optimum():
    other = Tuning(
        rounds_before=0, rounds_after=0, tries=0, first_group=20.0, visits=(1e6,), at_pain=0.0
    )
    case = small(5, machines=5)
    first, second = plan(case), plan(case, tuning=other)
    assert first.stopped == second.stopped == "optimal"
    assert first.total == pytest.approx(second.total)
