"""Charts drawn by the server as SVG, each with the same figures as a table.  Pure."""

from fleet.charts.chart import Chart
from fleet.charts.compliance_chart import MonthShare, draw_compliance
from fleet.charts.coverage_chart import HeldShare, draw_coverage
from fleet.charts.fan_data import FanBooking, FanData, FanReading, FanThreshold
from fleet.charts.fan_drawing import draw_fan
from fleet.charts.load_bars import LoadBar, draw_bar, short_hours
from fleet.charts.schedule_chart import MonthBar, draw_schedule_compliance
from fleet.charts.weeks_chart import Week, draw_weeks

__all__ = [
    "Chart",
    "FanBooking",
    "FanData",
    "FanReading",
    "FanThreshold",
    "HeldShare",
    "LoadBar",
    "MonthBar",
    "MonthShare",
    "Week",
    "draw_bar",
    "draw_compliance",
    "draw_coverage",
    "draw_fan",
    "draw_schedule_compliance",
    "draw_weeks",
    "short_hours",
]
