"""Each class on each build: nothing of the library that such a machine cannot have."""

import re

import pytest

from fleet.makeup_traits import fits
from fleet.procedures.cautions_on_build import codes_on_build
from fleet.procedures.library import library

BURNING = ("petrol", "diesel", "propane")
ANY = ("electric", *BURNING)
BUILDS = {kind.kind: ANY for kind in library()} | {
    "towed-generator": BURNING,  # what makes current has to burn something
    "trailer": ("none",),
}
NO_ENGINE = (
    r"engine|fuel|exhaust|smoke|spark|\bidle\b|choke|carburettor|crankcase|valve clearance"
    r"|cam chain|recoil|stator|ignition|air filter|oil filter|used oil into|fan belt|radiator"
    r"|coolant|muffler|gasoline|diesel|propane|engine oil|plug socket|filter strap|drain (plug|cap)"
    r"|starter motor"
)
NEVER = {
    "electric": NO_ENGINE,
    "none": NO_ENGINE + r"|battery posts|hour meter",
    "petrol": r"diesel|propane|traction battery|charger|glow",
    "diesel": r"gasoline|propane|spark plug|choke|carburettor|ignition|traction battery|charger",
    "propane": r"gasoline|diesel|choke|carburettor|traction battery|charger|glow",
}
"""Words that name what a machine of that engine has not."""
NEVER_WARNED = {
    "electric": {"exhaust-gas", "hot-exhaust", "fuel-vapour", "propane", "hot-coolant"},
    "none": {"exhaust-gas", "hot-exhaust", "fuel-vapour", "propane", "hot-coolant", "hot-oil"},
    "petrol": {"propane"},
    "diesel": {"propane"},
    "propane": set(),
}
BURNT = {"engine oil", "oil filter", "air filter", "fuel filter", "spark plug", "coolant"}
NEVER_TAKEN = {
    "electric": BURNT, "none": BURNT, "petrol": {"fuel filter"}, "propane": {"fuel filter"},
    "diesel": {"spark plug"},
}  # fmt: skip
EVERY = [
    (kind.kind, engine, procedure)
    for kind in library()
    for engine in BUILDS[kind.kind]
    for procedure in kind.procedures
]
IDS = [f"{procedure.code}-{engine}" for _, engine, procedure in EVERY]


def traits_with(engine):
    return {"engine": engine, "burner": "no"}


def done_on(procedure, engine):
    return [one for one in procedure.steps if fits(one.only_on, traits_with(engine)) is not False]


@pytest.mark.parametrize(("kind", "engine", "procedure"), EVERY, ids=IDS)
def test_nothing_is_asked_that_the_build_has_not(kind, engine, procedure):
    steps = done_on(procedure, engine)
    assert len(steps) >= 5
    for step in steps:
        for said in (step.text, step.tool, step.measures, step.figure):
            assert not re.search(NEVER[engine], said.lower()), (step.key, said)
        assert step.caution not in NEVER_WARNED[engine], step.key
        assert step.place not in NEVER_TAKEN[engine], step.key


@pytest.mark.parametrize(("kind", "engine", "procedure"), EVERY, ids=IDS)
def test_nobody_is_warned_of_what_the_build_has_not(kind, engine, procedure):
    carried = [(step.caution, step.only_on) for step in procedure.steps]
    shown = codes_on_build(procedure.cautions, carried, traits_with(engine))
    assert NEVER_WARNED[engine] & set(shown) == set()
    used_oil = [one for one in done_on(procedure, engine) if one.caution == "used-oil"]
    assert ("used-oil" in shown) == bool(used_oil)


def test_a_build_that_nobody_told_is_warned_of_all():
    for kind in library():
        for procedure in kind.procedures:
            carried = [(step.caution, step.only_on) for step in procedure.steps]
            assert codes_on_build(procedure.cautions, carried, {}) == list(procedure.cautions)
