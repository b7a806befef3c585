from datetime import timedelta

import pytest

from scheduling.core.verification import NOMINAL
from scheduling.due.range_levels import levels_in_use
from scheduling.hindsight.forecast_outcomes import load_outcomes
from scheduling.hindsight.level_adjusting import adjust, adjusted, write_levels
from scheduling.models import RangeLevels
from tests import factories as make
from tests.scheduling.hindsight.forecast_case import TODAY, kept

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def shop():
    return make.Shop()


def late_machines(shop, count, **fields):
    """One forecast of each machine, half of them due after their range."""
    yard = make.Yard(shop=shop)
    service = make.Service()
    for number in range(count):
        late = {"truth": 80, "outcome": "later"} if number % 2 else {}
        kept(make.Machine(yard=yard), service, **{**late, **fields})


def test_the_latest_levels_up_to_a_day_hold(shop):
    for ahead, low in ((-9, 0.08), (-2, 0.07), (1, 0.06)):
        write_levels(shop, "hours", TODAY + DAY * ahead, ((low, 0.9), 50))
    assert levels_in_use(shop.pk, TODAY) == {"hours": (0.07, 0.9)}
    assert levels_in_use(shop.pk, TODAY - DAY * 10) == {}
    assert levels_in_use(make.Shop().pk, TODAY) == {}


def test_each_kind_of_meter_is_adjusted_by_its_own(shop):
    late_machines(shop, 40)
    late_machines(shop, 40, kind="distance", truth=30, outcome="inside")
    found = adjusted(load_outcomes(shop, TODAY))
    assert found["hours"][0][1] == 0.95
    assert found["distance"][0] == (0.14, 0.86)  # all inside: drawn narrower
    assert found["hours"][1] == 40


def test_few_outcomes_write_nothing(shop):
    late_machines(shop, 20)
    assert adjust(shop, load_outcomes(shop, TODAY), TODAY) == 0
    assert not RangeLevels.objects.exists()


def test_ranges_with_one_end_say_nothing(shop):
    late_machines(shop, 60, p90=None)
    assert adjusted(load_outcomes(shop, TODAY)) == {}


def test_levels_go_back_when_the_outcomes_do(shop):
    write_levels(shop, "hours", TODAY - DAY, ((0.05, 0.95), 90))
    late_machines(shop, 20)
    assert adjust(shop, load_outcomes(shop, TODAY), TODAY) == 1
    assert levels_in_use(shop.pk, TODAY + DAY) == {"hours": NOMINAL}
    assert adjust(shop, load_outcomes(shop, TODAY), TODAY) == 0
