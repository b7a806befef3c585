from datetime import UTC, date, datetime

import numpy as np
import pytest

from scheduling.facts.machine_arrays import load_machines
from scheduling.facts.scope import Scope
from scheduling.facts.yard_days import day_number
from tests import factories as make
from tests.scheduling.cases import NOW

pytestmark = pytest.mark.django_db


def test_machines_come_with_the_day_of_their_yard():
    shop = make.Shop(look_ahead_days=9)
    zones = ["America/Denver", "Pacific/Auckland"]
    yards = [make.Yard(shop=shop, time_zone=zone, duty_factor=0.5) for zone in zones]
    for yard in yards:
        make.Machine(yard=yard, duty_factor=0.8)
    found = load_machines(Scope(shop.pk), datetime(2026, 3, 2, 6, 0, tzinfo=UTC))
    days = [day_number(date(2026, 3, 1)), day_number(date(2026, 3, 2))]
    assert found.today.tolist() == days
    assert found.duty.tolist() == pytest.approx([0.4, 0.4])
    assert found.look_ahead == 9
    assert found.day(1, 3) == date(2026, 3, 5)


def test_retired_on_the_yards_day_is_left_out():
    shop = make.Shop()
    west = make.Yard(shop=shop, time_zone="America/Denver")
    make.Machine(yard=west, retired_on=date(2026, 3, 1))
    kept = make.Machine(yard=west, retired_on=date(2026, 3, 2))  # in Denver that is tomorrow
    found = load_machines(Scope(shop.pk), datetime(2026, 3, 2, 6, 0, tzinfo=UTC))
    assert found.ids.tolist() == [kept.pk]


def test_unknown_start_is_no_day():
    machine = make.Machine(started_on=None)
    found = load_machines(Scope(machine.yard.shop_id), NOW)
    assert np.isnat(found.started[0])


def test_rows_are_found_by_key():
    machine = make.Machine()
    found = load_machines(Scope(machine.yard.shop_id), NOW)
    rows, known = found.rows((machine.pk + 5, machine.pk))
    assert known.tolist() == [False, True]
    assert rows[1] == 0


def test_no_machine():
    found = load_machines(Scope(make.Shop().pk), NOW)
    assert len(found) == 0
    assert found.rows((1, 2))[1].tolist() == [False, False]
