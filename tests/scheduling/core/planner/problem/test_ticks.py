import pytest

from scheduling.core.planner.problem.ticks import down, ticks_per_hour, up


@pytest.mark.parametrize(
    ("hours", "scale"),
    [
        ([8.0, 2.0], 1),
        ([8.0, 0.5], 2),
        ([1.25, 0.4], 20),
        ([0.35], 20),
        ([1 / 3], 12),
        ([1 / 60, 0.5], 60),
        ([0.0127, 3.0], 10_000),
        ([], 1),
    ],
)
def test_the_coarsest_exact_scale_is_taken(hours, scale):
    assert ticks_per_hour(hours) == scale


def test_what_no_scale_makes_whole_is_rounded_to_the_safe_side():
    scale = ticks_per_hour([2**0.5])
    assert down(2**0.5, scale) < 2**0.5 * scale < up(2**0.5, scale)


def test_a_rounding_error_does_not_cost_a_tick():
    assert up(0.1 + 0.2, 10) == 3
    assert down(0.7 + 0.1, 10) == 8
