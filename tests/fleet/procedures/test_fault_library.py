"""The library of faults: whole, and each outcome leads somewhere."""

import re

import pytest

from fleet.makeup_traits import codes_in
from fleet.procedures.fault_library import causes, symptom_called, symptoms, symptoms_on
from fleet.procedures.fault_order import ranked_checks
from fleet.procedures.library import library, library_cautions

FIRST = {
    "Cranks but will not start", "Clicks and does not crank", "Dead: no lamp, no click",
    "Starts and dies", "No spark", "Runs away from idle", "Fuel leak", "Pulls to one side",
    "Brakes uneven", "Noise from the front end",
}  # fmt: skip


def test_the_first_ten_symptoms_are_there():
    assert {one.words for one in symptoms()} == FIRST
    assert symptom_called("wobbles") is None


@pytest.mark.parametrize("symptom", symptoms(), ids=lambda one: one.key)
def test_each_outcome_names_a_cause_or_a_check_or_goes_on(symptom):
    keys = {one.key for one in symptom.checks}
    assert len(keys) == len(symptom.checks)
    assert symptom.caution in library_cautions()
    for check in symptom.checks:
        codes_in(check.only_on)
        assert check.finds in causes()
        assert check.weight > 0 < check.minutes
        assert len(check.outcomes) > 1
        assert any(one.found for one in check.outcomes)
        assert any(not one.found for one in check.outcomes)
        for one in check.outcomes:
            assert one.found in causes() or not one.found
            assert one.next in keys - {check.key} or not one.next
            assert not (one.found and one.next)


def test_of_a_click_nine_in_ten_are_battery_or_starter():
    """Common practice: battery with its leads, or starter; not the relay."""
    checks = symptom_called("clicks").checks
    whole = sum(one.weight for one in checks)
    named = ("battery-flat", "terminals", "starter-worn", "starter-relay")
    share = {
        cause: sum(one.weight for one in checks if one.finds == cause) / whole for cause in named
    }
    assert share["battery-flat"] + share["terminals"] + share["starter-worn"] >= 0.9
    assert share["starter-relay"] < 0.1


@pytest.mark.parametrize(
    ("traits", "not_offered"),
    [
        ({"engine": "diesel", "undercarriage": "wheels"}, {"no-spark"}),
        ({"engine": "diesel", "undercarriage": "tracks"}, {"no-spark", "pulls", "front-noise"}),
        ({"engine": "petrol", "undercarriage": "wheels"}, set()),
        ({}, set()),  # the make-up does not say: all may be
        (
            {"engine": "electric"},
            {"cranks-no-start", "clicks", "starts-dies", "no-spark", "races", "fuel-leak"},
        ),
    ],
)
def test_a_symptom_that_a_build_cannot_show_is_not_offered(traits, not_offered):
    offered = {one.key for one in symptoms_on(traits)}
    assert {one.key for one in symptoms()} - offered == not_offered


@pytest.mark.parametrize(
    ("kind", "offered"),
    [
        ("trailer", {"brakes-uneven"}),
        ("pressure-washer", {"cranks-no-start", "clicks", "dead", "starts-dies", "no-spark",
                             "races", "fuel-leak"}),
        ("quad", {one.key for one in symptoms()}),
    ],
)  # fmt: skip
def test_a_kind_is_not_asked_for_what_it_cannot_show(kind, offered):
    assert {one.key for one in symptoms_on({}, [kind])} == offered


def test_kinds_that_a_symptom_names_are_kinds_of_the_library():
    kinds = {one.kind for one in library()}
    assert all(set(one.not_of) < kinds for one in symptoms())


NEVER = {
    "electric": r"fuel|choke|spark|\bplug:|exhaust|diesel|compression|float bowl|engine",
    "diesel": r"spark|choke|carburettor|float bowl|ignition|\bcoil",
    "petrol": r"diesel|glow",
}


@pytest.mark.parametrize("engine", sorted(NEVER))
def test_a_search_asks_nothing_that_the_engine_has_not(engine):
    traits = {"engine": engine}
    for symptom in symptoms_on(traits):
        for one in ranked_checks(symptom, {}, traits):
            assert not re.search(NEVER[engine], one.check.text.lower()), (symptom.key, one.check)


def test_a_diesel_that_does_not_start_has_its_glow_plugs_and_its_bleeding_looked_at():
    keys = {
        one.check.key
        for one in ranked_checks(symptom_called("cranks-no-start"), {}, {"engine": "diesel"})
    }
    assert {"glow", "bleed", "diesel-filter", "stop-solenoid"} <= keys
    assert {"spark", "plug", "choke", "unit"} & keys == set()


def test_what_a_check_saves_is_the_search_that_is_left_and_the_work_that_it_does():
    saved = {check.saves for one in symptoms() for check in one.checks}
    assert len(saved) > 20
    for symptom in symptoms():
        for check in symptom.checks:
            others = sum(
                one.minutes for one in symptom.checks if one is not check and not one.untestable
            )
            work = causes()[check.finds].minutes
            assert check.saves in (others, others + work), (symptom.key, check.key)


def test_the_builds_of_a_symptom_are_builds_that_evener_knows():
    assert all(codes_in(one.only_on) or not one.only_on for one in symptoms())


def test_what_cannot_be_tested_is_said_to_be_so():
    untestable = {check.finds for one in symptoms() for check in one.checks if check.untestable}
    assert "ignition-unit" in untestable


def test_what_is_not_safe_holds_the_machine():
    assert all(causes()[key].unsafe for key in ("fuel-hose", "throttle-cable", "linings-worn"))
    assert not causes()["battery-flat"].unsafe
