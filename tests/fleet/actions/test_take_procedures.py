"""Procedures of the library, taken into a shop."""

import pytest

from fleet.actions.keep_manual import SaidBounds, SaidByManual, keep_manual
from fleet.actions.take_procedures import take_procedures
from fleet.models import Caution, LibraryCopy, LoggedChange, Service, Skill
from fleet.procedures import steps_for
from fleet.procedures.following_jobs import following_jobs
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
    assert {one.act for one in LoggedChange.objects.all()} == {"taken from the library"}


def test_the_job_that_a_worn_lining_calls_for_comes_with_it_once():
    take("quad-yearly", "side-by-side-yearly")
    reline = Service.objects.get(code="brakes-reline")
    assert (reline.name, reline.minutes) == ("Brake linings renewed", 120)
    assert set(reline.cautions.values_list("code", flat=True)) >= {"brake-dust", "stands"}
    calling = set(reline.called_by_limits.values_list("name", flat=True))
    assert calling == {"front brake lining", "rear brake lining", "side-by-side brake pad"}
    change = LoggedChange.objects.get(subject_id=reline.pk, kind="service")
    assert "common practice" in change.reason


def test_a_job_that_the_shop_has_is_what_follows():
    own = make.Service(code="brakes-reline", name="Ours")
    take("quad-yearly")
    own.refresh_from_db()
    assert own.name == "Ours"
    assert own.called_by_limits.exists()


def test_the_bounds_of_a_manual_call_for_the_same_job():
    (service,) = take("quad-yearly")
    makeup = make.MakeUp(machine_class__name="Quad")
    make.Interval(service=service, makeup=makeup)
    said = SaidByManual(bounds=[SaidBounds("front brake lining", low=1.0, source="p. 3")])
    keep_manual(makeup, said, by=make.Person(), now=NOON)
    assert service.limits.get(makeup=makeup).then.code == "brakes-reline"


def test_all_of_the_library_can_be_taken_and_once_is_enough():
    codes = [one.code for kind in library() for one in kind.procedures]
    assert len(take(*codes)) == len(codes)
    assert take("quad-basic") == []
    jobs = Service.objects.filter(library_copy=None)
    assert set(jobs.values_list("code", flat=True)) == set(following_jobs())
    assert Service.objects.count() == len(codes) + len(jobs)


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
