import numpy as np
import pytest

from scheduling.core.planner.problem.entities import Due
from scheduling.core.planner.problem.lateness import expected_early, expected_late, knots
from tests.plan_check import late_and_early

DUES = [Due(2.0, 5.0, 9.0), Due(-4.0, -1.0, 0.0), Due(3.0, 3.0, 3.0), Due(0.0, 0.0, 6.0)]
DAYS = [-10.0, -1.0, 0.0, 2.5, 3.0, 7.25, 30.0]


def test_days_late_and_early_match_the_mean_over_many_draws():
    """Draws from the four pieces, seeded; the mean of 200,000 is good to a hundredth of a day."""
    rng = np.random.default_rng(1)
    edges = knots(DUES[:1])[0]
    piece = rng.choice(4, size=200_000, p=[0.1, 0.4, 0.4, 0.1])
    drawn = edges[piece] + rng.random(piece.size) * (edges[piece + 1] - edges[piece])
    late = expected_late(knots(DUES[:1]), DAYS)[0]
    early = expected_early(knots(DUES[:1]), DAYS)[0]
    for day, found_late, found_early in zip(DAYS, late, early, strict=True):
        assert found_late == pytest.approx(np.maximum(0, day - drawn).mean(), abs=0.02)
        assert found_early == pytest.approx(np.maximum(0, drawn - day).mean(), abs=0.02)


def test_whole_arrays_match_the_independent_closed_form():
    late, early = expected_late(knots(DUES), DAYS), expected_early(knots(DUES), DAYS)
    for i, due in enumerate(DUES):
        points = {"p10": due.p10, "p50": due.p50, "p90": due.p90}
        for j, day in enumerate(DAYS):
            assert (late[i, j], early[i, j]) == pytest.approx(late_and_early(points, day))


def test_a_sharp_due_date_is_late_by_the_difference():
    edges = knots([Due(3.0, 3.0, 3.0)])
    assert expected_late(edges, [2.0, 3.0, 5.0]).tolist() == [[0.0, 0.0, 2.0]]
    assert expected_early(edges, [2.0, 3.0, 5.0]).tolist() == [[1.0, 0.0, 0.0]]
