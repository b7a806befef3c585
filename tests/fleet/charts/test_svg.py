"""Pieces of a drawing as strings."""

import xml.etree.ElementTree as ET

import pytest

from fleet.charts import svg


@pytest.mark.parametrize(
    ("value", "written"), [(1.0, "1"), (1.25, "1.2"), (0.04, "0"), (-3.5, "-3.5"), (100, "100")]
)
def test_coordinates_carry_one_decimal_and_no_tail(value, written):
    assert svg.number(value) == written


@pytest.mark.parametrize(("width", "height"), [(0, 5), (5, 0), (-2, 5)])
def test_a_rectangle_without_extent_is_left_out(width, height):
    assert svg.rect(0, 0, width, height, "c-work") == ""


def test_an_area_is_closed_and_a_line_is_not():
    points = [(0, 0), (10, 0), (10, 5)]
    assert svg.path(points, "c-tint", closed=True) == '<path class="c-tint" d="M0 0 10 0 10 5Z"/>'
    assert svg.path(points, "c-line").endswith('10 5"/>')
    assert svg.path([], "c-line") == ""


def test_words_are_escaped():
    assert "&lt;b&gt; &amp; c" in svg.text((0, 0), "<b> & c")


def test_a_picture_is_named_and_described():
    root = ET.fromstring(svg.picture("p", (10, 5), ("What & why", "It says <so>."), ""))
    assert [child.text for child in root] == ["What & why", "It says <so>."]
    assert root.get("viewBox") == "0 0 10 5"
