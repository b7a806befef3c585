"""Bars of what became of the lists."""

from fleet.charts import MonthBar, draw_schedule_compliance

MARCH = MonthBar("Mar 2026", 80, 10, 6, 4)


def test_parts_fill_the_bar_in_order_of_how_well_it_went():
    drawn = draw_schedule_compliance([MARCH]).wide
    kinds = [css for css in ("c-work", "c-light", "c-outline", "c-open") if f'"{css}"' in drawn]
    assert kinds == ["c-work", "c-light", "c-outline", "c-open"]
    assert "80 %" in drawn
    assert "of 100" in drawn


def test_month_without_a_list_says_so():
    drawn = draw_schedule_compliance([MonthBar("Apr 2026", 0, 0, 0, 0)]).narrow
    assert "no list" in drawn
    assert 'class="c-work"' not in drawn


def test_table_has_the_same_figures():
    (row,) = draw_schedule_compliance([MARCH]).rows
    assert row == ("Mar 2026", "100", "80", "10", "6", "4", "80 %")
