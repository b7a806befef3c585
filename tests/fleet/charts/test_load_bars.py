"""Load bars."""

import xml.etree.ElementTree as ET

import pytest

from fleet.charts import LoadBar, draw_bar


@pytest.mark.parametrize(
    ("work", "words", "figures"),
    [
        (390, "6 h 30 min of 8 h", "6.5/8"),
        (560, "9 h 20 min of 8 h, 1 h 20 min over", "9.3/8"),
        (0, "0 min of 8 h", "0/8"),
        (482, "8 h 2 min of 8 h", "8/8"),
        (660, "11 h of 8 h, 3 h over", "11/8"),
    ],
)
def test_load_is_said_in_words_and_in_figures(work, words, figures):
    load = LoadBar("Ana", work, 480)
    assert (load.words, load.figures) == (words, figures)


def bars(load, most=600):
    """Heights of the rectangles by kind, and how many lines of hatching there are."""
    root = ET.fromstring(draw_bar(load, most))
    heights = {}
    for rect in root.iter("rect"):
        heights.setdefault(rect.get("class"), []).append(float(rect.get("height")))
    return heights, sum(line.get("class") == "c-hatch" for line in root.iter("line"))


def test_bar_is_as_high_as_there_are_hours_and_filled_to_the_work():
    heights, hatched = bars(LoadBar("Ana", 300, 600))
    assert heights == {"c-open": [42.0], "c-work": [21.0]}
    assert hatched == 0


def test_what_is_over_is_hatched():
    heights, hatched = bars(LoadBar("Ana", 600, 300))
    assert heights == {"c-open": [21.0, 21.0], "c-work": [21.0]}
    assert hatched == 4


def test_hours_without_work_are_open_and_no_hours_draw_nothing():
    assert bars(LoadBar("Ana", 0, 600))[0] == {"c-open": [42.0]}
    assert bars(LoadBar("Ana", 0, 0), most=0)[0] == {}


def test_bar_is_hidden_from_who_reads_the_figures_and_is_not_styled_inline():
    drawn = draw_bar(LoadBar("Ana", 390, 480), 480)
    assert 'aria-hidden="true"' in drawn
    assert "style=" not in drawn
    assert " id=" not in drawn
