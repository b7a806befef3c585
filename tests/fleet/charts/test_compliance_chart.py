"""Share of services done in time."""

from datetime import date

from fleet.charts import MonthShare, draw_compliance
from fleet.charts.compliance_chart import describe

NOV, DEC, JAN = date(2025, 11, 1), date(2025, 12, 1), date(2026, 1, 1)


def test_a_month_without_services_has_no_share():
    assert MonthShare(NOV, 0, 0).share is None
    assert draw_compliance([MonthShare(NOV, 0, 0)]).rows == [("Nov 2025", "0", "0", "none done")]


def test_the_sentence_adds_all_months_up():
    assert describe([MonthShare(NOV, 3, 4), MonthShare(DEC, 6, 6)]) == (
        "9 of 10 services were done on time, 90 %."
    )


def test_the_share_stands_over_its_bar_and_the_late_part_is_hatched():
    drawing = draw_compliance([MonthShare(NOV, 3, 4)]).wide
    assert ">75<" in drawing
    assert drawing.count('fill="url(#compliance-h)"') == 1


def test_nothing_late_leaves_nothing_hatched():
    assert 'fill="url(#compliance-h)"' not in draw_compliance([MonthShare(NOV, 4, 4)]).wide


def test_the_year_stands_under_the_first_month_and_under_january():
    months = [MonthShare(day, 1, 1) for day in (NOV, DEC, JAN)]
    drawing = draw_compliance(months).wide
    assert (drawing.count(">2025<"), drawing.count(">2026<")) == (1, 1)
