"""The scenario hangs together: whatever it names is there, and nothing of it is real."""

from fleet.demo.scenario import scenario


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
    needs = {s["code"]: set(s["needs"]) for s in scenario().procedures["services"]}
    for make_up in (m for c in scenario()["classes"] for m in c["make_ups"]):
        places = {p["place"] for p in make_up["parts"] + make_up["fluids"]}
        for rule in scenario()["rules"][make_up["rules"]]:
            assert needs[rule["service"]] <= places, (make_up["model"], rule["service"])


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
