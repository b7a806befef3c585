import numpy as np
import pytest

from scheduling.hindsight.forecast_outcomes import FIELDS, load_outcomes, outcomes_of
from tests import factories as make
from tests.scheduling.hindsight.forecast_case import TODAY, kept

pytestmark = pytest.mark.django_db


def test_none_stands_for_beyond_or_for_no_average():
    machine = make.Machine()
    kept(machine, make.Service(), p10=5, p50=None, p90=None, simple=None, truth=120)
    found = load_outcomes(machine.yard.shop, TODAY)
    assert (found.low[0], found.middle[0], found.high[0], found.truth[0]) == (5, 120, 120, 120)
    assert np.isnan(found.simple[0])
    assert found.machine.tolist() == [machine.pk]


def test_nothing_is_no_trouble():
    found = outcomes_of([])
    assert found.where(found.truth > 3).truth.size == 0


def test_rows_of_several_batches_stand_in_order(monkeypatch):
    monkeypatch.setattr("scheduling.hindsight.forecast_outcomes.BATCH", 2)
    row = dict.fromkeys(FIELDS, 1) | {"kind": "hours", "made_on": TODAY}
    found = outcomes_of(tuple((row | {"truth": n}).values()) for n in range(5))
    assert found.truth.tolist() == [0, 1, 2, 3, 4]
