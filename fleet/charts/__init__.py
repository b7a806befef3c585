"""Charts drawn by the server as SVG, each with the same figures as a table.  Pure."""

from fleet.charts.chart import Chart
from fleet.charts.compliance import MonthShare, draw_compliance
from fleet.charts.fan import draw_fan
from fleet.charts.fan_data import Fan, FanBooking, FanReading, FanThreshold
from fleet.charts.held import HeldShare, draw_held
from fleet.charts.loads import Load, draw_bar
from fleet.charts.outturn import MonthBar, draw_outturn
from fleet.charts.weeks import Week, draw_weeks

__all__ = [
    "Chart",
    "Fan",
    "FanBooking",
    "FanReading",
    "FanThreshold",
    "HeldShare",
    "Load",
    "MonthBar",
    "MonthShare",
    "Week",
    "draw_bar",
    "draw_compliance",
    "draw_fan",
    "draw_held",
    "draw_outturn",
    "draw_weeks",
]
