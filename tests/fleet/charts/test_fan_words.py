"""The fan as a sentence and as a table."""

from fleet.charts import FanReading
from fleet.charts.fan_words import describe_fan, fan_rows
from tests.fleet.charts.test_charts import TODAY, a_fan


def test_the_table_tells_the_fan_every_thirty_days():
    _, rows = fan_rows(a_fan(bookings=[], readings=[], thresholds=[]))
    assert rows == [
        ["Thu 24 Dec", "558", "529 and 587", "most likely"],
        ["Sat 23 Jan 2027", "618", "559 and 677", "most likely"],
        ["Mon 22 Feb 2027", "678", "589 and 767", "most likely"],
        ["Wed 24 Mar 2027", "738", "619 and 857", "most likely"],
    ]


def test_the_last_six_readings_stand_in_the_table():
    gone = {"days": [], "low": [], "mid": [], "high": []}
    _, rows = fan_rows(a_fan(**gone, bookings=[], thresholds=[]))
    assert len(rows) == 6
    assert rows[-1] == ["Wed 25 Nov", "500", "", "reading"]


def test_the_sentence_names_the_last_reading_and_the_refused_ones():
    refused = FanReading(TODAY, 9, "backwards")
    said = describe_fan(a_fan(readings=[FanReading(TODAY, 500), refused, refused]))
    assert said.startswith("Last reading 500 h on Wed 25 Nov.")
    assert said.endswith("2 readings not used.")


def test_thresholds_stand_in_the_table_with_their_whole_names():
    _, rows = fan_rows(a_fan())
    assert ["", "600", "", "due: oil <and> filter, 600 h"] in rows
