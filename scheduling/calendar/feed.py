"""Shop days as an iCalendar object (RFC 5545; name and refresh interval: RFC 7986).

Each mechanic's shop day is one event over the whole day, without a clock time.  The plan fixes
the day, the mechanic and the order, not the hour: an event from nine to ten would claim what
nobody planned.  A DATE is the date of the shop wherever the phone that shows it is (3.3.4); it
needs no time zone and no daylight-saving rule can move it.  DTEND is the day after, since it is
not included (3.6.1).  The event leaves the day free for other entries (TRANSP:TRANSPARENT).

Without a METHOD the stamp of an event is when it was last revised (3.8.7.2), so the same plan
gives the same bytes, and a phone that asks again is told that nothing changed.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID, uuid5

from icalendar import Calendar, Event

from scheduling.calendar.calendar_days import ShopDayEvent
from scheduling.calendar.revisions import Revision, minute_of

SPACE = UUID("5f0c2f43-6a0e-4f1c-9a3e-2d3f6c1b7e90")
"""The name space of our event identifiers (UUID version 5, RFC 9562)."""

MANUAL_FIRST = "The machine's own manual, local codes and licensed practice come first."


@dataclass(frozen=True)
class Feed:
    """What a calendar is called, where its days are looked at, and when its plan was made.

    page: address of a mechanic's day, with {name} and {day}; made_at: when the plan was made.
    """

    name: str
    page: str
    made_at: datetime
    with_names: bool = False


def calendar_bytes(
    days: Iterable[ShopDayEvent], revised: Mapping[tuple[int, object], Revision], feed: Feed
) -> bytes:
    """Return the calendar, lines folded and text escaped (RFC 5545, 3.1 and 3.3.11)."""
    calendar = Calendar()
    calendar.add("prodid", "-//Evener//Shop days//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", feed.name)
    calendar.add("x-wr-calname", feed.name)  # what many programs read instead
    calendar.add("refresh-interval", timedelta(hours=1), parameters={"VALUE": "DURATION"})
    for each in days:
        stands = Revision(minute_of(feed.made_at), feed.made_at)
        found = revised.get((each.mechanic.pk, each.day), stands)
        calendar.add_component(_event(each, found, feed))
    return bytes(calendar.to_ical())


def event_id(person_pk: int, joined: datetime, day: date) -> str:
    """Return the identifier of a mechanic's day: the same for ever, whatever the plan says.

    With the moment at which the person was entered it differs from that of another site too.
    """
    return str(uuid5(SPACE, f"{person_pk}/{joined.isoformat()}/{day.isoformat()}"))


def _event(each: ShopDayEvent, revised: Revision, feed: Feed) -> Event:
    who = f"{each.mechanic}: " if feed.with_names else ""
    event = Event()
    event.add("uid", event_id(each.mechanic.pk, each.mechanic.date_joined, each.day))
    event.add("dtstamp", revised.at)
    event.add("last-modified", revised.at)
    event.add("sequence", revised.sequence)
    event.add("dtstart", each.day)
    event.add("dtend", each.day + timedelta(days=1))
    event.add("summary", f"{who}{each.summary}")
    event.add("description", "\n".join([*each.lines, MANUAL_FIRST]))
    event.add("location", each.place)
    page = feed.page.format(name=each.mechanic.username, day=each.day.isoformat())
    event.add("url", page)
    event.add("status", "CONFIRMED" if each.published else "TENTATIVE")
    event.add("transp", "TRANSPARENT")
    event.add("categories", ["Shop day"])
    return event
