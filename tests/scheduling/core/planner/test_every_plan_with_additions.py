"""The planner against every plan there is, where the format's additions are used."""

import pytest
from hypothesis import given, settings

from tests.plan_check import check
from tests.scheduling.core.planner.cases import plan
from tests.scheduling.core.planner.drawn import OWN_RULES
from tests.scheduling.core.planner.drawn_additions import (
    best_with_additions,
    cases_with_additions,
    every_plan,
)

CENT = 0.005

pytestmark = [pytest.mark.slow, pytest.mark.timeout(600)]


@settings(max_examples=100, deadline=None, derandomize=True)
@given(cases_with_additions())
def test_no_plan_is_cheaper_and_none_breaks_fewer_limits(case):
    fewest, least = best_with_additions(case)
    result = plan(case)
    report = check(case, result.to_dict())
    assert report.rules() <= (OWN_RULES if fewest else set())
    assert len(result.clashes) == fewest
    assert result.stopped == "optimal"
    if not fewest:
        assert report.total == pytest.approx(least, abs=CENT)
        assert result.total == pytest.approx(least, abs=CENT)
        assert result.bound == pytest.approx(least, abs=CENT)


@settings(max_examples=30, deadline=None, derandomize=True)
@given(cases_with_additions())
def test_the_bound_is_below_the_cost_of_every_plan_however_early_it_stops(case):
    ticks = iter(range(10**9))
    hurried = plan(case, 3.0, clock=lambda: next(ticks) / 100.0)
    if not hurried.clashes:
        found = [check(case, made) for made in every_plan(case)]
        least = min(report.total for report in found if not report.faults)
        assert hurried.bound <= least + CENT
        assert check(case, hurried.to_dict()).faults == []
