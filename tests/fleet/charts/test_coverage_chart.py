"""How often ranges held."""

import pytest

from fleet.charts import HeldShare, draw_coverage


def chart(*shares):
    return draw_coverage(shares, "Ranges that held", "Class", "held")


def test_the_table_tells_what_the_bars_show():
    drawn = chart(HeldShare("Quad", earlier=2, inside=15, later=3, off=8.25, simple_off=11.0))
    assert drawn.columns == ("Class", "Inside", "Before", "After", "Held", "Days off",
                             "Simple average off")  # fmt: skip
    assert drawn.rows == [["Quad", "15", "2", "3", "75 %", "8.2", "11.0"]]


@pytest.mark.parametrize(
    ("counts", "says"), [((0, 0, 0), "none"), ((1, 7, 1), "too few"), ((1, 8, 1), "80 %")]
)
def test_a_handful_has_no_percentage(counts, says):
    assert HeldShare("Lift", *counts).says == says


def test_early_and_late_are_told_apart_without_colour():
    drawing = chart(HeldShare("Quad", 2, 15, 3)).wide
    assert drawing.count('fill="url(#held-h)"') == 1
    assert drawing.count('class="c-open"') == 1
    assert "of 20<" in drawing


def test_what_never_happened_is_not_drawn():
    drawing = chart(HeldShare("Quad", 0, 15, 0)).wide
    assert 'fill="url(#held-h)"' not in drawing
    assert 'class="c-open"' not in drawing


def test_a_row_without_any_says_so():
    assert ">none<" in chart(HeldShare("Lift", 0, 0, 0)).narrow


def test_the_drawing_is_described_for_who_cannot_see_it():
    drawing = chart(HeldShare("Quad", 2, 15, 3), HeldShare("Lift", 0, 0, 0)).wide
    assert (
        '<desc id="held-d">Share of ranges that were right: Quad 75 %; Lift none.</desc>' in drawing
    )
