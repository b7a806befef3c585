"""Procedures of the library, taken into a shop."""

import pytest

from fleet.actions.take_procedures import take_procedures
from fleet.models import Caution, LibraryCopy, LoggedChange, Service, Skill
from fleet.procedures import steps_for
from fleet.procedures.library import library, procedure_called
from fleet.procedures.own_content import content_of
from tests import factories as make
from tests.factories import NOON

pytestmark = pytest.mark.django_db


def take(*codes):
    boss = make.Person()
    return take_procedures([procedure_called(code) for code in codes], by=boss, now=NOON)


def test_a_copy_says_what_the_library_says():
    (service,) = take("quad-yearly")
    told = procedure_called("quad-yearly")
    assert content_of(service) == told.body
    assert LibraryCopy.objects.get().digest == told.digest
    assert LoggedChange.objects.get().act == "taken from the library"


def test_all_of_the_library_can_be_taken_and_once_is_enough():
    codes = [one.code for kind in library() for one in kind.procedures]
    assert len(take(*codes)) == len(codes)
    assert take("quad-basic") == []
    assert Service.objects.count() == len(codes)


def test_a_code_and_a_caution_that_the_shop_has_stay_the_shops():
    make.Service(code="quad-basic")
    Caution.objects.create(code="hot-oil", signal="danger", text="Ours.", source="x")
    (service,) = take("quad-basic")
    assert service.code != "quad-basic"
    assert Caution.objects.get(code="hot-oil").text == "Ours."


def test_an_inspection_asks_for_a_qualified_person():
    (service,) = take("scissor-lift-yearly")
    assert service.skill == Skill.objects.get(name="inspector")
    assert service.skill.by_certificate


def test_two_quads_with_two_sumps_read_differently():
    (service,) = take("quad-basic")
    texts = []
    for litres in (2.0, 2.3):
        makeup = make.MakeUp(traits={"final-drive": "shaft", "oil-cooler": "no"})
        makeup.fluids.create(place="engine oil", grade="5W-40", capacity_ml=litres * 1000)
        machine = make.Machine(makeup=makeup, yard=make.Yard(units="metric"))
        steps = {step.key: step for step in steps_for(machine, [service])[service.pk]}
        texts.append(steps["oil-fill"].text)
        assert not {"chain", "cooler-drain"} & steps.keys()
        assert "shaft-boot" in steps
    assert "2.00 L in all" in texts[0]
    assert "2.30 L in all" in texts[1]
