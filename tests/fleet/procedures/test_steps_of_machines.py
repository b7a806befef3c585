"""Steps of services on a machine: chosen by its build, in a fixed number of queries."""

import pytest

from fleet.models import Caution, Limit, MakeUpFigure, ServiceStep
from fleet.procedures import steps_for
from tests import factories as make

pytestmark = pytest.mark.django_db
MOST = 7
"""Steps, limits, fluids, fitting parts, parts, figures, alterations."""


def service(steps=2):
    row = make.Service()
    caution, _ = Caution.objects.get_or_create(
        code="hot", defaults={"signal": "warning", "text": "Hot oil burns.", "source": "x"}
    )
    for number in range(steps):
        ServiceStep.objects.create(
            service=row, position=number, text=f"Do {number}", caution=caution
        )
    Limit.objects.create(service=row, name="gap", unit="mm", low=0.1)
    return row


def test_queries_do_not_grow(django_assert_max_num_queries):
    machine = make.Machine()
    for few, many in ((1, 2), (6, 20)):
        services = [service(many) for _ in range(few)]
        with django_assert_max_num_queries(MOST):
            found = steps_for(machine, services)
        assert {len(steps) for steps in found.values()} == {many + 1}


def test_an_alteration_changes_the_build_of_its_machine():
    row = make.Service()
    for position, build in enumerate(("drum", "disc")):
        ServiceStep.objects.create(
            service=row, position=position, text=build, only_on=f"front-brakes:{build}"
        )
    makeup = make.MakeUp(traits={"front-brakes": "drum"})
    plain, altered = make.Machine(makeup=makeup), make.Machine(makeup=makeup)
    altered.alterations.create(text="disc kit", build="front-brakes:disc")
    assert [step.text for step in steps_for(plain, [row])[row.pk]] == ["Drum"]
    assert [step.text for step in steps_for(altered, [row])[row.pk]] == ["Disc"]


def test_numbers_of_two_make_ups_go_into_one_procedure():
    row = make.Service()
    ServiceStep.objects.create(
        service=row, position=1, kind="fill", place="engine oil", text="Fill {quantity} of {grade}"
    )
    texts = []
    for litres in (2.0, 2.3):
        makeup = make.MakeUp()
        makeup.fluids.create(place="engine oil", grade="5W-40", capacity_ml=litres * 1000)
        MakeUpFigure.objects.create(makeup=makeup, name="gap", value=0.7, unit="mm")
        yard = make.Yard(units="metric")
        (step,) = steps_for(make.Machine(makeup=makeup, yard=yard), [row])[row.pk]
        texts.append(step.text)
    assert texts == ["Fill 2.00 L of 5W-40", "Fill 2.30 L of 5W-40"]


def test_of_no_service_nothing_is_asked(django_assert_num_queries):
    machine = make.Machine()
    with django_assert_num_queries(0):
        assert steps_for(machine, []) == {}
