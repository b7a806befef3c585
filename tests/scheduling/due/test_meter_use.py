import numpy as np
import pytest

from scheduling.due.learning import learn
from scheduling.due.meter_use import kind_use
from scheduling.facts.load_facts import load_use
from scheduling.facts.scope import Scope
from tests import factories as make
from tests.scheduling.cases import NOW, ago, steady

pytestmark = pytest.mark.django_db


def use_of(machine):
    facts = load_use(Scope(machine.yard.shop_id), NOW)
    meters = facts.meters["hours"]
    return kind_use(facts, meters, learn(facts, meters))


def life(use, *days):
    return use.life_on(np.zeros(len(days), dtype=np.int64), np.array(days, dtype=float))


def test_life_is_read_off_between_readings():
    machine = make.Machine()
    steady(machine, life_at_fitting=1000)
    use = use_of(machine)
    assert use.last_life.tolist() == use.read_life.tolist() == [1340]
    # noon today is day 0.5; 4 h a day
    assert life(use, -29.5, 0.5, -30.0) == pytest.approx([1220, 1340, 1218])


def test_life_is_drawn_on_from_both_ends_at_the_mean_rate():
    machine = make.Machine()
    steady(machine)
    use = use_of(machine)
    rate = use.summary.rate[0]
    assert 3 < rate < 5
    before, after = life(use, -60.5, 2.5)
    assert after == pytest.approx(340 + 2 * rate)
    assert before == pytest.approx(100 - rate)


def test_life_is_never_below_that_at_the_first_fitting():
    machine = make.Machine()
    steady(machine, first_value=90)
    assert life(use_of(machine), -390) == pytest.approx([90])


def test_unread_meter_has_a_life_but_no_reading():
    machine = make.Machine()
    make.Meter(machine=machine, fitted_at=ago(9), first_value=12)
    use = use_of(machine)
    assert use.last_life.tolist() == [12]
    assert np.isnan(use.read_life).all()


def test_life_is_unknown_where_no_reading_can_be():
    machine = make.Machine()
    meter = make.Meter(machine=machine, fitted_at=ago(9))
    make.Reading(meter=meter, read_at=ago(1), value=float("inf"))
    use = use_of(machine)
    assert use.last_life.tolist() == [0]  # when it was fitted
    assert use.meters.unread.tolist() == [True]
