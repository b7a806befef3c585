import itertools
from datetime import date

import numpy as np
import pytest

from fleet.demo.hire_seasons import SimulatedHire, draw_hires, draw_jobs
from fleet.demo.roster import roster
from fleet.demo.scenario import scenario

FIRST = date(2025, 1, 1).toordinal()
SPAN = (FIRST, FIRST + 4 * 365)


def pattern_of(name, on_ranch):
    units = roster(scenario())
    return next(
        u.slot.pattern
        for u in units
        if u.slot.machine_class["name"] == name and u.slot.on_ranch == on_ranch
    )


def draw(seed=1, taken=()):
    return draw_hires(np.random.default_rng(seed), pattern_of("Quad", False), SPAN, taken)


def test_no_hire_lies_on_another():
    hires = draw()
    assert len(hires) > 100
    assert all(a.last < b.first for a, b in itertools.pairwise(hires))


def test_no_hire_lies_on_what_is_taken():
    taken = [
        SimulatedHire(FIRST + 100, FIRST + 160, FIRST),
        SimulatedHire(FIRST + 400, FIRST + 401, FIRST),
    ]
    for hire in draw(taken=taken):
        assert all(hire.last < t.first or hire.first > t.last for t in taken)


def test_hires_are_booked_before_they_begin():
    assert all(hire.made < hire.first for hire in draw())


@pytest.mark.parametrize(("month", "busy"), [(1, 0.18), (7, 0.66)])
def test_the_share_of_days_on_hire_follows_the_season(month, busy):
    on_hire = [
        date.fromordinal(day).month == month
        for seed in range(12)
        for hire in draw(seed)
        for day in range(hire.first, min(hire.last, SPAN[1]) + 1)
    ]
    days = sum(date.fromordinal(d).month == month for d in range(SPAN[0], SPAN[1] + 1)) * 12
    assert sum(on_hire) / days == pytest.approx(busy, abs=0.09)


def test_ranch_jobs_begin_in_their_season():
    jobs = draw_jobs(np.random.default_rng(3), pattern_of("Quad", True), SPAN)
    calving = [job for job in jobs if job.job == "calving"]
    assert calving
    assert {date.fromordinal(job.first).month for job in calving} == {2}
