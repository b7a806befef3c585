"""The fan of a meter: refused readings, thresholds, bookings, words."""

from datetime import timedelta

from fleet.charts import FanReading, FanThreshold, draw_fan
from fleet.charts.fan_frame import frame_of
from tests.fleet.charts.test_charts import TODAY, a_fan

REFUSED = FanReading(TODAY - timedelta(days=20), 9999, "ten times what the clock allows")


def test_refused_readings_are_shown_and_named():
    chart = draw_fan(a_fan(readings=[FanReading(TODAY, 500), REFUSED]))
    assert "1 reading not used." in chart.wide
    assert chart.wide.count('class="c-cross"') == 2
    assert ["Thu 5 Nov", "9,999", "", "not used: ten times what the clock allows"] in chart.rows


def test_a_refused_reading_does_not_stretch_the_picture():
    with_it, without = (
        a_fan(readings=[FanReading(TODAY, 500), REFUSED]),
        a_fan(readings=[FanReading(TODAY, 500)]),
    )
    assert frame_of(with_it, 940).high == frame_of(without, 940).high


def test_a_far_threshold_does_not_squeeze_the_picture():
    near = frame_of(a_fan(thresholds=[FanThreshold(700, "near")]), 940)
    far = frame_of(a_fan(thresholds=[FanThreshold(100_000, "far")]), 940)
    assert far.high < 4 * near.high


def test_thresholds_that_lie_close_share_a_name():
    chart = draw_fan(a_fan(thresholds=[FanThreshold(600, "oil"), FanThreshold(602, "grease")]))
    assert ">oil and 1 more<" in chart.wide
    assert ">grease<" not in chart.wide


def test_long_names_are_cut_on_a_phone_alone():
    name = "Engine oil and filter, diesel, 600 h"
    chart = draw_fan(a_fan(thresholds=[FanThreshold(600, name)]))
    assert f">{name}<" in chart.wide
    assert ">Engine oil and filt…<" in chart.narrow


def test_words_from_people_are_escaped():
    assert "oil &lt;and&gt; filter" in draw_fan(a_fan()).wide


def test_the_description_says_what_is_to_come():
    sentence = "By Thu 25 Mar 2027 most likely 740 h, 8 in 10 between 620 and 860."
    assert sentence in draw_fan(a_fan()).wide


def test_without_readings_it_says_so():
    assert "No reading yet." in draw_fan(a_fan(readings=[])).wide


def test_bookings_stand_in_the_table():
    rows = draw_fan(a_fan()).rows
    assert ["Sat 28 Nov to Fri 4 Dec", "", "", "out: Alder & Sons"] in rows
