import pytest

from scheduling.core.planner import RunLimits
from scheduling.core.planner.control.watch import Watch


@pytest.mark.parametrize(
    "fields",
    [
        {"seconds": 0},
        {"seconds": -1},
        {"seconds": float("nan")},
        {"workers": 0},
        {"gap": -0.1},
        {"gap": 1},
    ],
)
def test_a_limit_that_cannot_be_meant_is_refused_by_name(fields):
    with pytest.raises(ValueError, match=next(iter(fields))):
        RunLimits(**fields)


def test_a_watch_tells_what_is_left_and_when_it_is_over():
    now = [10.0]
    watch = Watch.start(lambda: now[0], 4.0)
    assert (watch.left(), watch.over()) == (4.0, False)
    now[0] = 13.0
    assert (watch.elapsed(), watch.left(), watch.part(0.5).left()) == (3.0, 1.0, 0.5)
    now[0] = 15.0
    assert (watch.left(), watch.over(), watch.part(0.5).over()) == (0.0, True, True)
