"""Load bars."""

from fleet.charts import Load, draw_loads


def test_a_load_is_said_with_what_is_over():
    assert Load("Ana", 390, 480).words == "6 h 30 min of 8 h"
    assert Load("Ana", 560, 480).words == "9 h 20 min of 8 h, 1 h 20 min over"


def test_what_is_over_is_hatched_and_what_is_free_is_open():
    drawing = draw_loads([Load("Ana", 390, 480)]).narrow
    assert "url(#loads-h)" not in drawing.replace("<defs>", "").split("</defs>")[1]
    assert "url(#loads-h)" in draw_loads([Load("Ana", 560, 480)]).narrow.split("</defs>")[1]


def test_names_are_escaped():
    assert "&lt;Ana&gt;" in draw_loads([Load("<Ana>", 1, 1)]).narrow


def test_two_charts_of_a_page_may_have_names_of_their_own():
    assert 'id="monday-h"' in draw_loads([], "monday").narrow
