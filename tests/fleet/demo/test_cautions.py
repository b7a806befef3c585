"""Every service shows its usual cautions, and each caution names where it comes from."""

import json

import pytest

from fleet.demo.scenario import FIXTURES, scenario
from fleet.demo.write_library import procedure_of
from fleet.demo.write_services import needs_of

POINTS = {
    v["id"]: v
    for v in json.loads((FIXTURES / "published_vectors.json").read_text(encoding="utf-8"))[
        "vectors"
    ]
    if v["id"].startswith("SAFE-")
}
SERVICES = {s["code"]: s for s in scenario().procedures["services"]}
CAUTIONS = {c["code"]: c for c in scenario().cautions}

WORDS = {
    "engine stopped and cannot be started": ["engine stopped", "cannot be started"],
    "controls off and locked against movement": ["controls off", "locked against movement"],
    "platform fully down or blocked": ["platform fully down or blocked"],
    "hydraulic pressure released before loosening": ["hydraulic pressure released"],
    "safety prop fitted": ["safety prop fitted"],
    "hot oil burns": ["hot oil burns"],
    "do not start or move with anyone underneath": ["never start or move", "underneath"],
    "container in good condition and not leaking": ["container in good condition", "not leaking"],
    'marked "Used Oil"': ['marked "used oil"'],
    "no dry brushing of brake dust": ["brake", "no dry brushing"],
    "parking brake set": ["parking brake set"],
    "wheels chocked": ["wheels chocked"],
    "lock out": ["lock out"],
    "release stored energy": ["release stored energy"],
}
"""Published point -> words that must stand in what the mechanic is shown."""

OIL = [code for code, s in SERVICES.items() if "engine oil" in needs_of(s)]
BRAKES = ["brakes-small", "brakes-reline", "trailer-bearings", "trailer-shoes"]
TRAILERS = ["trailer-annual", "trailer-bearings", "trailer-shoes", "wheel-nuts"]
LIFTS = [code for code in SERVICES if code.startswith(("lift-", "boom-"))]
AT = {
    "SAFE-01": LIFTS,
    "SAFE-02": OIL,
    "SAFE-03": OIL,
    "SAFE-04": BRAKES,
    "SAFE-05": TRAILERS,
    "SAFE-06": list(SERVICES),
}


def shown(code):
    """All that a service shows by way of caution, in one line."""
    return " ".join(CAUTIONS[c]["text"] for c in SERVICES[code]["cautions"]).lower()


@pytest.mark.parametrize("point", POINTS, ids=str)
def test_a_published_point_is_shown_at_every_service_that_it_concerns(point):
    for code in AT[point]:
        for mention in POINTS[point]["expected"]["caution_mentions"]:
            missing = [word for word in WORDS[mention] if word not in shown(code)]
            assert not missing, (code, mention)


def test_the_wet_method_is_bounded_as_published():
    limit = POINTS["SAFE-04"]["expected"]["limit_pairs_per_week"]
    assert f"up to {limit} pairs" in CAUTIONS["brake-dust"]["text"]


def test_lists_of_services_are_not_empty():
    assert all(len(codes) >= 4 for codes in AT.values())


@pytest.mark.parametrize("caution", CAUTIONS.values(), ids=lambda c: c["code"])
def test_a_caution_says_whether_its_source_was_read(caution):
    assert "read" in caution["source"] or "from memory" in caution["source"]
    assert caution["signal"] in ("danger", "warning", "caution", "notice")
    assert len(caution["text"]) <= 300
    assert len(caution["source"]) <= 160


def test_notice_is_kept_for_damage_alone():
    # ANSI Z535: NOTICE for practices that do not bring injury; oil on the ground is one.
    assert [code for code, c in CAUTIONS.items() if c["signal"] == "notice"] == ["used-oil"]


@pytest.mark.parametrize("service", SERVICES.values(), ids=lambda s: s["code"])
def test_a_service_tells_steps_and_skill(service):
    copied = procedure_of(service)
    assert len(copied.steps if copied else service["steps"]) >= 3
    assert service["skill"] in scenario().procedures["skills"]
    assert set(service["cautions"]) <= CAUTIONS.keys()


def test_hydraulic_work_warns_of_the_jet():
    hydraulic = [code for code, s in SERVICES.items() if "hydraulic oil" in needs_of(s)]
    assert hydraulic
    assert all("card, never a hand" in shown(code) for code in hydraulic)


def test_a_hoist_and_brakes_on_trial_warn_of_what_they_do():
    assert "nobody under it" in shown("engine-overhaul")
    assert "pump them before you move" in shown("road-test")


def test_work_for_two_says_what_the_second_does():
    two = [service for service in SERVICES.values() if service.get("second_minutes")]
    assert len(two) >= 3
    assert all(service["second_for"] for service in two)
