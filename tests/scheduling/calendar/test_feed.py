"""The feed read back: RFC 5545 as a calendar program reads it, and its bytes as they travel."""

from datetime import UTC, date, datetime, timedelta

import pytest
from icalendar import Calendar

from fleet.models import Person
from scheduling.calendar.calendar_days import ShopDayEvent
from scheduling.calendar.feed import Feed, calendar_bytes
from scheduling.calendar.revisions import Revision

MADE = datetime(2026, 3, 2, 12, tzinfo=UTC)
REVISED = datetime(2026, 3, 2, 13, 30, tzinfo=UTC)
DAY = date(2026, 3, 28)
"""The night after it, clocks go forward in Europe: an entry over the whole day stays one day."""
JO = Person(pk=7, username="jo", first_name="Jo", last_name="Brook", date_joined=MADE)
LINES = (
    "1. Q-1 (Utility quad, Tarnbeck T1): Engine oil, filter; grease: all points; 1 h 30 min",
    r"2. SS-2 (Side-by-side), at Haus Rüti\Süd: Bremsflüssigkeit; 45 min",
)


def day(**changes):
    fields = {
        "mechanic": JO, "day": DAY, "tags": ("Q-1", "SS-2"), "lines": LINES, "minutes": 135,
        "published": True, "place": "Cold Fork; shop, north",
    }  # fmt: skip
    return ShopDayEvent(**{**fields, **changes})


FEED = Feed("Shop days of Jo", "https://x.test/b?day={day}&m={name}", MADE)
KNOWN = {(7, DAY): Revision(4711, REVISED)}


def feed(*days, revised=KNOWN, about=FEED):
    return calendar_bytes(days or (day(),), revised, about)


def event(*days, **more):
    (found,) = Calendar.from_ical(feed(*days, **more)).walk("VEVENT")
    return found


def test_it_is_a_calendar_that_a_program_accepts():
    calendar = Calendar.from_ical(feed())
    assert (calendar["version"], calendar["prodid"]) == ("2.0", "-//Evener//Shop days//EN")
    assert calendar.errors == []
    assert event().errors == []


def test_every_line_ends_in_crlf_and_has_75_octets_at_most():
    # RFC 5545, 3.1: folded by CRLF and one space; octets of UTF-8, never within a character
    raw = feed()
    assert raw.endswith(b"END:VCALENDAR\r\n")
    lines = raw.split(b"\r\n")
    assert b"\n" not in b"".join(lines)
    assert max(map(len, lines)) <= 75
    assert any(line.startswith(b" ") for line in lines)
    for line in lines:
        line.decode("utf-8")


def test_commas_semicolons_backslashes_and_line_ends_come_back_as_they_were():
    # RFC 5545, 3.3.11
    raw = feed().replace(b"\r\n ", b"").decode()
    assert r"Engine oil\, filter\; grease: all points" in raw
    assert r"Haus Rüti\\Süd" in raw
    assert r"LOCATION:Cold Fork\; shop\, north" in raw
    assert str(event()["description"]).splitlines()[:2] == list(LINES)


def test_day_is_a_date_and_ends_on_the_day_after():
    # RFC 5545, 3.6.1: the end is not included; a DATE has no time zone
    found = event()
    assert (found.decoded("dtstart"), found.decoded("dtend")) == (DAY, DAY + timedelta(days=1))
    assert b"DTSTART;VALUE=DATE:20260328" in feed()
    assert b"TZID" not in feed()
    assert found["transp"] == "TRANSPARENT"


def test_stamp_and_sequence_are_those_of_the_revision():
    found = event()
    assert found["sequence"] == 4711
    assert found.decoded("dtstamp") == found.decoded("last-modified") == REVISED
    assert b"DTSTAMP:20260302T133000Z" in feed()


def test_day_that_was_never_numbered_has_the_stamp_of_the_plan():
    assert event(revised={}).decoded("dtstamp") == MADE


def test_identifier_outlives_every_change_of_the_day():
    changed = day(tags=("GE-9",), lines=("1. GE-9",), minutes=10, published=False)
    assert event(changed)["uid"] == event()["uid"]
    assert event(day(day=DAY + timedelta(days=1)))["uid"] != event()["uid"]


@pytest.mark.parametrize(
    ("other", "same"),
    [({}, True), ({"pk": 8}, False), ({"date_joined": REVISED}, False), ({"username": "j"}, True)],
)
def test_identifier_tells_people_apart_on_other_sites_too(other, same):
    fields = {"pk": 7, "username": "jo", "date_joined": MADE, **other}
    assert (event(day(mechanic=Person(**fields)))["uid"] == event()["uid"]) == same


def test_same_plan_gives_the_same_bytes():
    assert feed() == feed()


@pytest.mark.parametrize(("published", "status"), [(True, "CONFIRMED"), (False, "TENTATIVE")])
def test_what_is_not_published_is_tentative(published, status):
    assert event(day(published=published))["status"] == status


def test_summary_names_the_mechanic_in_the_shops_calendar_alone():
    said = "2 machines, 2 h 15 min: Q-1, SS-2"
    assert event()["summary"] == said
    whole = Feed("Shop", "{name}{day}", MADE, with_names=True)
    assert event(about=whole)["summary"] == f"Jo Brook: {said}"


def test_entry_leads_to_the_bench_and_names_the_manual():
    assert event()["url"] == "https://x.test/b?day=2026-03-28&m=jo"
    assert "The machine's own manual" in event()["description"]


def test_plan_without_work_is_an_empty_calendar():
    assert not Calendar.from_ical(calendar_bytes((), {}, FEED)).walk("VEVENT")
