"""A serial that another machine has, rates below zero, capacities of nothing: refused."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from fleet.identity import normal_serial, same_serial, serial_warning
from fleet.models import Fluid
from tests import factories

VIN = "1M8GDM9AXKP042788"
"""The worked example of 49 CFR 565.15(c) as published (fixtures/published_vectors.json, ID-02)."""


@pytest.mark.parametrize(
    "typed", ["1m8gdm9axkp042788", "1M8GDM9A XKP042788", "1M8-GDM9AXK-P042788 "]
)
def test_a_vin_typed_with_blanks_dashes_or_in_lower_case_is_the_same_vin(typed):
    assert normal_serial(typed) == VIN
    assert same_serial(typed, VIN)
    assert serial_warning(typed, road_vehicle=True) == ""


@pytest.mark.django_db
@pytest.mark.parametrize("typed", ["ab 12-34", "AB1234", " a.b/1234"])
def test_a_serial_of_another_machine_is_refused_naming_it(typed):
    factories.Machine(tag="MX-02", serial="AB-1234")
    with pytest.raises(ValidationError, match=r"MX-02 has the serial AB-1234 already"):
        factories.Machine(serial=typed).clean()


@pytest.mark.django_db
def test_it_is_taken_where_the_plates_were_looked_at_and_kept_as_typed():
    factories.Machine(serial="AB-1234")
    machine = factories.Machine(serial="ab 1234", serial_shared=True)
    machine.full_clean()
    assert machine.serial == "ab 1234"


@pytest.mark.django_db
def test_its_own_serial_none_and_that_of_a_merged_entry_are_no_clash():
    machine = factories.Machine(serial="AB-1234")
    machine.clean()
    factories.Machine(serial="")
    factories.Machine(serial="").clean()
    factories.Machine(serial="AB1234", merged_into=machine)
    machine.clean()


@pytest.mark.django_db
def test_rates_below_zero_and_capacities_of_nothing_are_refused():
    machine = factories.Machine(day_rate=Decimal("-1"))
    with pytest.raises(ValidationError, match="never below zero"):
        machine.clean()
    with pytest.raises(ValidationError, match="never below zero"):
        factories.MachineClass(day_rate=Decimal("-1")).clean()
    with pytest.raises(ValidationError, match="more than zero"):
        Fluid(makeup=machine.makeup, place="engine oil", capacity_ml=0).clean()
