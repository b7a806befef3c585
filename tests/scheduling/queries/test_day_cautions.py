"""Nobody is warned of what the machine before them cannot have."""

from types import SimpleNamespace

import pytest

from fleet.actions.take_procedures import take_procedures
from fleet.models import Alteration
from fleet.procedures.library import procedure_called
from scheduling.queries.day_cautions import cautions_of
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


def codes_on(machine, code="scissor-lift-basic"):
    (service,) = take_procedures([procedure_called(code)], by=None, now=NOON)
    return [one.code for one in cautions_of([SimpleNamespace(service=service, machine=machine)])]


def machine_with(**traits):
    return factories.Machine(makeup=factories.MakeUp(traits=traits))


def test_an_electric_lift_is_not_warned_of_hot_oil():
    codes = codes_on(machine_with(engine="electric"))
    assert {"hot-oil", "used-oil"} & set(codes) == set()
    assert codes[0] == "lock-out"
    assert "platform" in codes


def test_a_diesel_lift_is_warned_of_hot_oil():
    assert {"hot-oil", "used-oil"} <= set(codes_on(machine_with(engine="diesel")))


def test_a_lift_whose_build_nobody_told_is_warned_of_all():
    procedure = procedure_called("scissor-lift-basic")
    assert set(codes_on(machine_with())) == set(procedure.cautions)


def test_a_machine_that_was_altered_is_warned_by_what_it_is_now():
    machine = machine_with(engine="diesel")
    Alteration.objects.create(
        machine=machine, text="Electric drive instead of the engine", build="engine:electric"
    )
    assert "hot-oil" not in codes_on(machine)
