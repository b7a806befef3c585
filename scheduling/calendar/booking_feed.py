"""Bookings as an iCalendar object (RFC 5545; name and refresh interval: RFC 7986).

Each booking is one event over whole days, first to last: DTEND is the day after, since it is not
included (3.6.1).  A booking is the same event for ever (UID), revised whenever it is changed: its
stamp is when that was last done (3.8.7.2), and SEQUENCE, the minute of it, never falls (3.8.7.4).
One that was called off stays for a while as CANCELLED, so that a phone takes it away (3.8.1.11).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID, uuid5

from icalendar import Calendar, Event

from fleet.models import Booking
from scheduling.calendar.revisions import minute_of

SPACE = UUID("0a4d9d0e-7e0f-4c1e-8e55-6a8a7b6a1c52")
"""The name space of our identifiers of bookings (UUID version 5, RFC 9562)."""


@dataclass(frozen=True)
class BookingEvent:
    """One booking, when it was last revised, and its page."""

    booking: Booking
    revised_at: datetime
    page: str
    is_out: bool = False
    is_back: bool = False


def bookings_as_calendar(name: str, events: Iterable[BookingEvent]) -> bytes:
    """Return the calendar, lines folded and text escaped (RFC 5545, 3.1 and 3.3.11)."""
    calendar = Calendar()
    calendar.add("prodid", "-//Evener//Bookings//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", name)
    calendar.add("x-wr-calname", name)  # what many programs read instead
    calendar.add("refresh-interval", timedelta(hours=1), parameters={"VALUE": "DURATION"})
    for each in events:
        calendar.add_component(_event(each))
    return bytes(calendar.to_ical())


def _event(each: BookingEvent) -> Event:
    booking, machine = each.booking, each.booking.machine
    event = Event()
    event.add("uid", str(uuid5(SPACE, f"{booking.pk}/{booking.made_at.isoformat()}")))
    event.add("dtstamp", each.revised_at)
    event.add("last-modified", each.revised_at)
    event.add("sequence", minute_of(each.revised_at))
    event.add("dtstart", booking.first_day)
    event.add("dtend", booking.last_day + timedelta(days=1))
    event.add("summary", f"{machine.tag}: {booking.customer}")
    event.add("description", f"{machine.makeup.machine_class}, {machine.makeup}. {_state(each)}")
    event.add("location", machine.yard.name)
    event.add("url", each.page)
    event.add("status", "CANCELLED" if booking.cancelled_at else "CONFIRMED")
    event.add("categories", [str(machine.makeup.machine_class)])
    return event


def _state(each: BookingEvent) -> str:
    if each.booking.cancelled_at:
        return "Called off."
    return "It is back." if each.is_back else "It is out." if each.is_out else "Booked."
