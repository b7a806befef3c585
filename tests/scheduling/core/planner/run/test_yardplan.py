"""One yard's plan and the seconds that it was given."""

import pytest

from scheduling.core.planner import RunLimits, read_problem
from scheduling.core.planner.control import Stage, Watch
from scheduling.core.planner.run.yardplan import YardJob, plan_yard
from tests.benchmarks.plan_instances import small


@pytest.mark.parametrize(("late", "reasons"), [(False, True), (True, False)])
def test_a_search_that_ran_over_leaves_no_seconds_for_reasons_and_takes_none(late, reasons):
    """The clock stands still, but for one step after the search where that is late."""
    now = 0.0

    def search_took_long(report):
        nonlocal now
        if late and report.stage is Stage.EXPLAINING:
            now = 6.0

    job = YardJob(read_problem(small(1)), RunLimits(5.0, clock=lambda: now))
    plan = plan_yard(job, Watch.start(job.limits.clock, 5.0), search_took_long)
    assert plan.places
    assert bool(plan.reasons) is reasons
