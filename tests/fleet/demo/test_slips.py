import numpy as np
import pytest

from fleet.demo.slips import mistype


@pytest.mark.parametrize("kind", ["hours", "distance", "cycles"])
@pytest.mark.parametrize("value", [0.0, 0.4, 9.0, 1_204.6])
def test_a_slip_is_a_value_that_a_meter_could_show(kind, value):
    rng = np.random.default_rng(2)
    typed = [mistype(rng, value, kind) for _ in range(50)]
    assert all(np.isfinite(t) and t >= 0 for t in typed)


def test_slips_are_of_several_kinds():
    rng = np.random.default_rng(2)
    typed = {mistype(rng, 1_204.6, "hours") for _ in range(200)}
    assert 12_046.0 in typed  # the point left out
    assert 120.4 in typed or 124.6 in typed or 106.4 in typed  # a figure left out
    assert len(typed) > 8
