"""The library's drawings: each there, each used, plain lines that hide nothing, never changed."""

import re
from hashlib import sha256
from xml.etree import ElementTree as ET

import pytest
from django.contrib.staticfiles import finders

from fleet.models import ServiceStep, StepPicture
from fleet.procedures.drawings import HIGH, STATIC, WIDE, drawings
from fleet.procedures.library import LibraryStep, library, plain_step
from fleet.procedures.shown_picture import picture_at
from tests.sentences import ROOT

PLAIN = {"svg", "rect", "line", "polyline", "polygon", "circle", "path", "text"}
INK = {"none", "#000", "#fff", "#bbb"}
"""Black lines on white, and one grey for what is looked at."""
DIGEST = re.compile(r'"drawing": "([^"]+)", "digest": "([^"]+)"')
KEPT = dict(DIGEST.findall((ROOT / "fixtures/procedures/drawings.json").read_text("utf-8")))
STEPS = {step.key: step for kind in library() for one in kind.procedures for step in one.steps}


def file_of(name):
    with open(finders.find(f"{STATIC}/{name}.svg"), "rb") as file:
        return file.read()


def test_each_drawing_is_used_and_each_that_is_named_is_there():
    assert {step.drawing for step in STEPS.values() if step.drawing} == set(drawings()) == set(KEPT)


@pytest.mark.parametrize("name", sorted(KEPT))
def test_one_that_has_landed_is_never_changed(name):
    assert sha256(file_of(name)).hexdigest().startswith(KEPT[name])


@pytest.mark.parametrize("name", sorted(KEPT))
def test_it_is_plain_black_lines_on_white(name):
    drawn = ET.fromstring(file_of(name))
    assert drawn.get("viewBox") == f"0 0 {WIDE} {HIGH}"
    kinds = {each.tag.rpartition("}")[2] for each in drawn.iter()}
    assert kinds <= PLAIN
    colours = {each.get(name) for each in drawn.iter() for name in ("fill", "stroke")} - {None}
    assert colours <= INK
    paper = drawn[0]
    assert (paper.get("width"), paper.get("height"), paper.get("fill")) == ("320", "200", "#fff")
    words = [each.text for each in drawn.iter() if each.text and each.text.strip()]
    assert [word for word in words if len(word) > 1] == []  # nothing to translate


@pytest.mark.parametrize(
    ("key", "name"),
    [
        ("oil-level", "oil-stick-not-screwed-in"),
        ("diesel-oil-level", "oil-stick-right-in"),
        ("drain-cap", "drain-cap-order"),
        ("valve-inlet", "valve-clearance"),
        ("toe", "toe"),
        ("front-lining", "lining"),
        ("lock-out-first", "lock-out"),
        ("trailer-chocks", "stand-and-chocks"),
    ],
)
def test_the_step_that_words_tell_badly_has_its_drawing(key, name):
    assert STEPS[key].drawing == name
    assert len(drawings()[name]) > 40


def test_a_copy_taken_before_there_were_drawings_does_not_look_changed():
    bare = LibraryStep("a", "do", "Look.")
    assert "drawing" not in plain_step(vars(bare))
    assert plain_step(vars(LibraryStep("a", "do", "Look.", drawing="toe")))["drawing"] == "toe"


def test_a_step_shows_the_shops_own_picture_before_the_drawing():
    own = StepPicture(pk=7, shows="Ours.", wide=4, high=3)
    step = ServiceStep(drawing="toe")
    assert picture_at(step).address.endswith("/img/steps/toe.svg")
    step.picture = own
    assert (picture_at(step).shows, picture_at(step).photo) == ("Ours.", 7)
    assert picture_at(ServiceStep()) is None
    assert picture_at(ServiceStep(drawing="gone")) is None
