"""The scenario hangs together: whatever it names is there, and nothing of it is real."""

import re

from fleet.demo.scenario import scenario
from fleet.demo.write_library import procedure_of
from fleet.demo.write_services import needs_of, own_steps
from fleet.makeup_traits import fits
from fleet.procedures import is_taken


def test_a_service_covers_what_its_covered_services_cover():
    covers = scenario().covers()
    assert covers["engine-500"] == {"engine-500", "engine-250", "grease-50"}
    assert covers["genset-1000"] == {"genset-1000", "genset-500", "genset-100"}


def test_every_interval_names_a_service():
    services = {s["code"] for s in scenario().procedures["services"]}
    named = {rule["service"] for rules in scenario()["rules"].values() for rule in rules}
    assert named <= services


def test_every_part_and_fluid_of_a_make_up_is_on_the_parts_list():
    parts = {part["number"] for part in scenario()["parts"]}
    make_ups = [m for c in scenario()["classes"] for m in c["make_ups"]]
    assert {p["part"] for m in make_ups for p in m["parts"] + m["fluids"]} <= parts


def test_what_a_service_needs_fits_every_make_up_that_has_it():
    """What its build does not have, it does not need."""
    for make_up, entry in of_make_ups():
        places = {p["place"] for p in make_up["parts"] + make_up["fluids"]}
        assert taken(make_up, entry) <= places, (make_up["model"], entry["code"])


def test_what_a_service_needs_is_what_its_steps_take_on_every_make_up():
    for make_up, entry in of_make_ups():
        done = [one for one in steps_of(entry) if fits(one[1], traits_of(make_up)) is not False]
        assert taken(make_up, entry) == {place for place, _ in done}, (
            make_up["model"], entry["code"],
        )  # fmt: skip


def of_make_ups():
    """Each make-up with each of its services, and with those that limits and findings call for."""
    entries = {one["code"]: one for one in scenario().procedures["services"]}
    for make_up in (m for c in scenario()["classes"] for m in c["make_ups"]):
        for rule in scenario()["rules"][make_up["rules"]]:
            entry = entries[rule["service"]]
            yield make_up, entry
            called = (limit.get("then") for limit in entry.get("limits", ()))
            yield from ((make_up, entries[code]) for code in called if code)


def traits_of(make_up):
    return scenario().manuals.get(make_up["model"], {}).get("traits", {})


def steps_of(entry):
    """Place and condition of the steps that take something."""
    procedure = procedure_of(entry)
    if procedure:
        return [(step.place, step.only_on) for step in procedure.steps if step.place]
    return [(one["place"], "") for one in own_steps(entry) if one.get("place")]


def taken(make_up, entry):
    at_steps, traits = steps_of(entry), traits_of(make_up)
    return {place for place in needs_of(entry) if is_taken(place, at_steps, traits)}


def test_each_step_that_says_a_part_or_a_fill_names_its_place():
    for entry in scenario().procedures["services"]:
        for step in own_steps(entry):
            says = re.search(r"\{(part|quantity|grade)\}", step["text"])
            assert bool(says) == bool(step.get("place")), (entry["code"], step["text"])


def test_an_overhaul_takes_gaskets_rings_bearings_and_seals():
    overhaul = next(
        one for one in scenario().procedures["services"] if one["code"] == "engine-overhaul"
    )
    assert {
        "gasket set", "piston rings", "main bearings", "big-end bearings", "shaft seals",
    } < set(needs_of(overhaul))  # fmt: skip


def test_every_part_of_the_interval_rules_is_exercised():
    rules = [rule for rules in scenario()["rules"].values() for rule in rules]
    used = {key for rule in rules for key in rule}
    assert used >= {
        "every",
        "first_at",
        "every_months",
        "every_days",
        "first_months",
        "season_month",
        "idle_months",
        "early",
        "late",
        "early_percent",
        "late_percent",
        "meter_cap",
        "early_days",
        "late_days",
        "days_cap",
        "end_of_month",
        "hard",
    }
    assert {rule.get("anchor", "service") for rule in rules} == {"service", "due", "keep", "window"}


def test_every_hard_limit_names_the_law_or_standard_that_sets_it():
    rules = [rule for rules in scenario()["rules"].values() for rule in rules if rule.get("hard")]
    assert rules
    assert all("CFR" in r["source"] or "WAC" in r["source"] or "ANSI" in r["source"] for r in rules)


def test_every_other_interval_says_that_it_is_invented():
    rules = [rule for rules in scenario()["rules"].values() for rule in rules]
    assert all("invented" in rule["source"] for rule in rules if not rule.get("hard"))
