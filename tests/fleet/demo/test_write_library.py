"""The demo's machines are served by the library's procedures, with their make-ups' own numbers."""

import pytest

from fleet.demo.roll import _rules_here
from fleet.demo.scenario import scenario
from fleet.demo.write_library import procedure_of
from fleet.models import LibraryCopy, Machine, MakeUp, Measurement, Service, ServiceStep
from fleet.procedures import steps_for
from fleet.procedures.drawings import drawings
from fleet.procedures.library import ON_OCCASION, library
from fleet.queries.manual_questions import manual_questions

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]
SERVICES = scenario().procedures["services"]
COPIED = [one for one in SERVICES if "library" in one]


def steps_of(model, code):
    machine = Machine.objects.filter(makeup__model=model).select_related("makeup", "yard").first()
    service = Service.objects.get(code=code)
    return {step.key: step for step in steps_for(machine, [service])[service.pk]}


def test_every_class_of_the_demo_has_procedures_of_its_own_kind():
    codes = set(LibraryCopy.objects.values_list("code", flat=True))
    occasions = {one.code for kind in library() for one in kind.procedures
                 if one.occasion in ON_OCCASION}  # fmt: skip
    assert codes - occasions == {one["library"] for one in COPIED}
    for machine_class in scenario()["classes"]:
        kinds = [kind for kind in library() if kind.named_in(machine_class["name"])]
        if machine_class["name"] == "Lift":  # both kinds stand in one class
            kinds = [kind for kind in library() if kind.kind in ("scissor-lift", "boom-lift")]
        for kind in kinds:
            assert codes & {one.code for one in kind.procedures}, kind.kind
            own = {one.code for one in kind.procedures if one.code in occasions}
            assert own <= codes, kind.kind


def test_nothing_is_left_to_ask_of_a_manual():
    assert {m.model: manual_questions(m).open for m in MakeUp.objects.all()} == dict.fromkeys(
        (m.model for m in MakeUp.objects.all()), 0
    )


def test_two_quads_read_differently():
    hare, yellow = (steps_of(model, "small-oil-100") for model in ("Hare 450", "Y-700"))
    assert "1.98 qt of 5W-40" in hare["oil-fill"].text
    assert "2.28 qt of 5W-40" in yellow["oil-fill"].text
    assert "cooler-drain" in yellow
    assert "cooler-drain" not in hare
    assert "32 N·m" in hare["drain-cap"].text
    assert {step.kind for step in hare.values()} >= {"do", "check", "measure", "fill", "fasten"}
    lining = hare["front-lining"]
    assert (lining.limit_low, lining.places, lining.safety) == (1.5, ("left", "right"), True)
    assert lining.caution is not None


def test_every_step_knows_its_machine():
    for model, code in (("K60", "skid-steer-500"), ("Crane-fly 45", "boom-annual")):
        assert [s.text for s in steps_of(model, code).values() if s.only_if or s.lacks] == []


def test_steps_of_the_library_in_a_service_of_the_shops_own():
    for entry in SERVICES:
        if "kind" in entry:
            rows = Service.objects.get(code=entry["code"]).steps.order_by("position")
            assert [row.key for row in rows] == entry["steps"]
            assert len(procedure_of(entry).limits) == Service.objects.get(
                code=entry["code"]
            ).limits.filter(makeup=None).count()  # fmt: skip


def test_past_services_have_measures_of_each_place():
    of_quads = Measurement.objects.filter(limit__name="front brake lining")
    assert set(of_quads.values_list("place", flat=True)) == {"left", "right"}
    assert all(row.value > row.limit.low for row in of_quads.select_related("limit"))


def test_a_demo_of_an_earlier_release_lives_on_by_the_services_that_it_has():
    before = {s.code for s in Service.objects.all()} - {"skid-steer-250", "boom-annual"}
    rules = _rules_here(scenario(), before)
    assert {rule["service"] for part in rules.values() for rule in part} <= before
    assert "engine-250" in {rule["service"] for rule in rules["skid-steer"]}
    same = _rules_here(scenario(), before | {"skid-steer-250", "boom-annual"})
    assert same == scenario()["rules"]


def test_what_was_measured_is_possible_and_weighs_no_more_than_full():
    rows = Measurement.objects.select_related("limit")
    beyond = [
        (str(one.limit), one.value)
        for one in rows
        if not (one.limit.possible_low or one.value) <= one.value
        or not one.value <= (one.limit.possible_high or one.value)
    ]
    assert rows
    assert beyond == []
    shares = [one.value for one in rows if one.limit.name == "share of full weight"]
    assert shares
    assert max(shares) < 105


def test_the_work_that_stands_open_on_the_first_day_asks_for_photos_and_shows_pictures():
    (story,) = (one for one in scenario()["stories"] if one["story"] == "overhaul")
    ((code, _),) = story["calls"]
    service = Service.objects.get(code=code)
    machine = Machine.objects.select_related("makeup", "yard").first()
    steps = steps_for(machine, [service])[service.pk]
    assert [step.kind for step in steps].count("photo") == 1
    assert [step.picture.drawing for step in steps if step.picture] == ["valve-clearance"]


def test_each_drawing_that_the_shop_chose_is_there():
    rows = ServiceStep.objects.exclude(drawing="").values_list("drawing", flat=True)
    assert set(rows) <= set(drawings())
    assert len(set(rows)) > 10
