"""Stacked weeks: what they say and where the figures stand."""

from dataclasses import replace
from datetime import date, timedelta

from fleet.charts import Week, draw_weeks
from fleet.charts.weeks_chart import describe

MONDAY = date(2026, 11, 23)


def week(number=0, planned=10.0, unplanned=5.0, repairs=2.0, room=40.0):
    return Week(MONDAY + timedelta(weeks=number), planned, unplanned, repairs, room)


def test_a_week_adds_up_its_work():
    assert week().work == 17


def test_weeks_with_more_work_than_hours_are_named():
    sentence = describe([week(), week(1, planned=50)])
    assert sentence == (
        "74 hours of work in 2 weeks against 80 hours of the shop. "
        "More work than hours in the week from 30 Nov."
    )


def test_weeks_that_the_shop_can_do_are_said_to_be_so():
    assert "By hours alone no week is too full." in describe([week()])


def test_a_full_week_carries_a_sign_beside_its_figure():
    assert ">57!<" in draw_weeks([week(planned=50)]).wide
    assert ">17<" in draw_weeks([week()]).wide


def test_kinds_of_work_are_told_apart_without_colour():
    drawing = draw_weeks([week()]).wide
    assert 'class="c-work"' in drawing
    assert 'fill="url(#weeks-h)"' in drawing
    assert 'class="c-open"' in drawing


def test_the_table_has_every_figure():
    assert draw_weeks([week()]).rows == [("23 Nov", "10", "5", "2", "17", "40")]


def test_the_hours_of_nine_in_ten_stand_in_brackets():
    assert draw_weeks([replace(week(), ninth=21.4)]).rows[0][4] == "17 (21)"
