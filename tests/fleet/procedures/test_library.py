"""The library: complete, of each class its own, and nothing in it that passes for a maker's."""

import re

import pytest

from fleet.identity import VIN_LENGTH
from fleet.makeup_traits import codes_in
from fleet.models import Caution, ServiceStep
from fleet.procedures.library import OCCASIONS, library, library_cautions, procedure_called

KINDS = {
    "quad", "side-by-side", "utility-tractor", "skid-steer", "mini-excavator", "scissor-lift",
    "boom-lift", "forklift", "towed-generator", "trailer", "pressure-washer",
}  # fmt: skip
EVERY = [one for kind in library() for one in kind.procedures]
STEPS = [(one.code, step) for one in EVERY for step in one.steps]

QUAD = {
    "engine oil level": ("oil-level", "check", "run it a minute or two", "stand a minute or two",
                         "between the marks", "without screwing it in"),
    "oil: warm, not hot": ("oil-warm", "do", "warm, not hot"),
    "drain: spring, strainer, ring": ("oil-drain", "do", "spring", "strainer", "ring"),
    "drain cap seated straight": ("drain-cap", "fasten", "ring whole", "strainer", "spring",
                                  "askew"),
    "oil filter": ("filter-new", "do", "filter"),
    "cover bolts in their own holes": ("filter-cover-bolts", "fasten", "its own hole"),
    "cooler lines": ("cooler-drain", "do", "cooler lines", "drain"),
    "short of full, run, stop, check, top up": ("oil-fill", "fill", "short of the full amount",
                                                "run", "stop", "check", "top up"),
    "air filter at every service": ("air-filter", "do", "at every service"),
    "spark plug": ("spark-plug", "do", "gap"),
    "clutch adjuster and its direction": ("clutch-adjuster", "do", "direction"),
    "idle, warm, in small steps": ("idle", "do", "engine warm", "small steps"),
    "valve clearance, inlet": ("valve-inlet", "measure", "top dead centre"),
    "valve clearance, exhaust": ("valve-exhaust", "measure", "top dead centre"),
    "cam chain tensioner": ("cam-chain", "do", "tensioner"),
    "crankcase breather": ("breather", "check", "crankcase breather"),
    "decompressor": ("decompressor", "check", "decompressor"),
    "choke": ("choke", "check", "choke"),
    "fuel tap positions": ("fuel-tap", "check", "off", "on", "reserve"),
    "tank breather": ("tank-breather", "check", "breather"),
    "battery size": ("battery-quad", "check", "size"),
    "battery charge": ("battery-charge", "measure", "voltage"),
    "battery terminals": ("battery-terminals", "check", "bright", "tight"),
    "starter": ("starter", "check", "starter"),
    "relay": ("starter-relay", "check", "relay"),
    "ignition unit": ("ignition-unit", "check", "ignition unit"),
    "stator connectors": ("stator-connectors", "check", "connectors"),
    "kill switch": ("kill-switch", "check", "kill switch"),
    "neutral and reverse lamps": ("neutral-reverse-lamps", "check", "neutral lamp", "reverse lamp"),
    "start interlock": ("start-interlock-quad", "check", "interlock"),
    "recoil starter": ("recoil", "check", "recoil"),
    "front drums evenly": ("front-drums", "do", "left and right", "evenly"),
    "rear brake by hand and foot": ("rear-brake", "check", "by hand and by foot"),
    "toe": ("toe", "measure", "toe"),
    "tie rods with both lock nuts": ("tie-rods", "fasten", "both lock nuts"),
    "steering": ("steering", "check", "lock to lock"),
    "shock preload": ("shock-preload", "check", "preload"),
    "shock bushings": ("shock-bushings", "check", "bushings"),
    "grease points at arms and knuckles": ("grease-arms", "do", "arms and knuckles"),
    "shaft boot": ("shaft-boot", "check", "boot"),
    "final-drive oil": ("final-drive-oil", "fill", "lower threads"),
    "exhaust baffle": ("exhaust-baffle", "check", "baffle"),
    "noise": ("noise", "measure", "noise"),
    "spark arrester": ("spark-arrester", "do", "spark arrester"),
    "throttle limiter on": ("limiter-on", "do", "beginner"),
    "throttle limiter off": ("limiter-off", "do", "off again"),
    "lights": ("lights-quad", "check", "head", "tail"),
    "rack, box, seat latch": ("rack-box-seat", "check", "rack", "box", "seat latch"),
    "gear and reverse levers": ("gear-levers", "check", "gear", "reverse"),
    "serial, or confirmed from the record": ("serial", "check", "worn", "from its record"),
    "odometer checked, not only read": ("odometer", "measure", "not only read"),
}  # fmt: skip


@pytest.mark.parametrize("wanted", list(QUAD))
def test_the_quad_has_each_of_its_checks(wanted):
    key, kind, *words = QUAD[wanted]
    quad = next(one for one in library() if one.kind == "quad")
    found = [step for one in quad.procedures for step in one.steps if step.key == key]
    assert found, wanted
    assert found[0].kind == kind
    assert [word for word in words if word not in found[0].text.lower()] == []


def test_every_class_has_every_occasion():
    assert {kind.kind for kind in library()} == KINDS
    for kind in library():
        assert [one.occasion for one in kind.procedures] == list(OCCASIONS), kind.kind


def test_the_air_filter_is_seen_to_at_every_service_of_a_quad():
    quad = next(one for one in library() if one.kind == "quad")
    services = [one for one in quad.procedures if one.occasion in ("basic", "yearly")]
    assert all("air-filter" in {step.key for step in one.steps} for one in services)


@pytest.mark.parametrize(
    ("kind", "never"),
    [
        ("trailer", ("roll-over", "engine oil", "seat belt", "hydraulic")),
        ("pressure-washer", ("roll-over", "seat belt", "tyre", "brake")),
        ("towed-generator", ("roll-over", "seat belt", "steering")),
        ("scissor-lift", ("roll-over", "seat belt", "harness anchors")),
        ("quad", ("roll-over", "seat belt", "three-point")),
        ("mini-excavator", ("tyres:", "steering")),
    ],
)
def test_a_class_is_not_asked_about_what_it_has_not(kind, never):
    of_kind = [step.text.lower() for code, step in STEPS if code.startswith(f"{kind}-")]
    assert [text for text in of_kind for word in never if word in text] == []


@pytest.mark.parametrize("key", ["serial", "road-serial"])
def test_a_worn_serial_is_confirmed_from_the_record(key):
    texts = {step.text for _, step in STEPS if step.key == key}
    assert all("from its record" in text for text in texts)


def test_a_road_serial_has_17_characters():
    (text,) = {step.text for _, step in STEPS if step.key == "road-serial"}
    assert f"{VIN_LENGTH} characters" in text
    on_roads = {code for code, step in STEPS if step.key == "road-serial"}
    assert {code.rsplit("-", 1)[0].split("-")[0] for code in on_roads} == {"towed", "trailer"}


def test_every_step_can_be_a_row():
    """Kinds, builds, cautions and lengths are those that the database takes."""
    cautions = library_cautions()
    for code, step in STEPS:
        assert step.kind in ServiceStep.Kind.values, (code, step.key)
        assert not step.caution or step.caution in cautions, (code, step.key)
        codes_in(step.only_on)
        assert bool(step.place) or step.kind != "fill", (code, step.key)
        assert bool(step.measures) == (step.kind == "measure"), (code, step.key)
        assert bool(step.caution) or step.kind != "caution", (code, step.key)
        for name, most in (("text", 300), ("source", 160), ("tool", 60), ("turning_order", 80)):
            assert len(getattr(step, name)) <= most, (code, step.key, name)
    assert {one["signal"] for one in cautions.values()} <= set(Caution.Signal.values)
    assert all(set(one.cautions) <= set(cautions) for one in EVERY)


COLD = re.compile(r"engine cold|at rest for an hour")
WARM = re.compile(r"engine warm|warm, not hot|warm the engine|fast idle|once warm|drained warm")


def test_what_wants_a_cold_engine_comes_before_what_warms_it():
    for one in EVERY:
        if one.occasion not in ("basic", "yearly") or one.code.startswith("trailer"):
            continue
        texts = [step.text.lower() for step in one.steps]
        cold = [n for n, text in enumerate(texts) if COLD.search(text)]
        warm = [n for n, text in enumerate(texts) if WARM.search(text)]
        if cold and warm:
            late = [texts[n] for n in cold if n > warm[0]]
            assert late == [], one.code


@pytest.mark.parametrize("procedure", EVERY, ids=lambda one: one.code)
def test_what_a_procedure_takes_is_what_its_steps_fill_and_fit(procedure):
    takes = re.compile(r"\{(part|quantity)\}")
    for step in procedure.steps:
        assert bool(takes.search(step.text)) == bool(step.place), step.key
        assert step.kind in ("fill", "do") or not step.place, step.key
    assert set(procedure.needs) == {step.place for step in procedure.steps if step.place}


def test_the_yearly_services_take_what_they_fill():
    wanted = {
        "utility-tractor-yearly": {"hydraulic filter", "hydraulic oil", "gear oil"},
        "mini-excavator-yearly": {"hydraulic filter", "hydraulic oil", "gear oil"},
        "skid-steer-yearly": {"hydraulic filter", "hydraulic oil"},
        "boom-lift-yearly": {"engine oil", "oil filter", "hydraulic filter"},
        "side-by-side-yearly": {"spark plug", "gear oil"},
        "pressure-washer-yearly": {"pump oil", "engine oil"},
    }
    for code, places in wanted.items():
        found = procedure_called(code)
        assert places <= set(found.needs), code


def test_no_step_comes_twice_in_a_procedure():
    for one in EVERY:
        keys = [step.key for step in one.steps]
        assert sorted(set(keys)) == sorted(keys), one.code


def test_a_limit_stands_only_beside_its_published_source():
    """All others are asked for from the machine's own manual, and only what can be is known."""
    limits = {limit for one in EVERY for limit in one.limits}
    published = [limit for limit in limits if (limit.low, limit.high) != (None, None)]
    assert all(re.search(r"CFR|WAC|ANSI|s\. \d", limit.source) for limit in published)
    assert {limit.name for limit in published} == {
        "exhaust noise", "fork heel wear", "lift chain stretch", "tread depth"
    }  # fmt: skip
    assert all(limit.possible_high is not None for limit in limits)


def test_a_number_of_the_make_up_is_never_written_into_a_text():
    """No litres, torques or gaps: those come in braces."""
    number = re.compile(r"\d+(\.\d+)?\s*(mL|L|qt|gal|N·m|ft-lb|bar|psi|kPa)\b")
    assert [step.text for _, step in STEPS if number.search(step.text)] == []


def test_where_each_thing_comes_from_stands_beside_it():
    named = [step for _, step in STEPS if step.source]
    assert all(
        re.search(r"common practice|CFR|WAC|ANSI|TM |SAE|s\. \d|page|sheets", step.source)
        for step in named
    )
    unsaid = {step.key for _, step in STEPS if not step.source}
    asked = {
        step.key for _, step in STEPS if step.measures or step.figure or step.kind == "caution"
    }
    assert unsaid <= asked  # those hang on the machine's own manual


def test_a_content_has_one_name():
    quad = procedure_called("quad-basic")
    assert quad is not None
    assert quad.digest == procedure_called("quad-basic").digest
    assert len({one.digest for one in EVERY}) == len(EVERY)
    assert procedure_called("quad-at-sea") is None
