"""How much of a past is on record: whether it can be lived again, and what it cannot tell."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Min

from fleet.models import Reading, Shop
from fleet.queries.standing_records import standing_records
from fleet.refusal import Refusal
from fleet.saying import counted
from scheduling.hindsight.past_loading import LoadedPast

LEAST_NIGHTS = 90
"""Nights that a past must have: a season at least (our judgement)."""

LEAST_SERVICES = 10
"""Services with a date that it must have."""

USUAL_NIGHTS = 365
"""Nights that are lived again where nobody says otherwise."""

LEAST_TIMED = 0.5
"""Share of the services that must have their minutes, or overtime cannot be told."""


@dataclass(frozen=True)
class SpanAsked:
    """The days to live through again, both included."""

    first: date
    last: date


def span_of(shop: Shop, now: datetime, first: date | None, last: date | None) -> SpanAsked:
    """Return the days to live again: the last year, or what there is of it.

    Refuses a span that is not on record or too short, with the reason in a sentence.
    """
    today = now.astimezone(shop.zone).date()
    begin = _begins(shop)
    if begin is None:
        raise Refusal(
            f"No service with a date stands in the book of {shop}, so there is no past to live"
            " through again. Bring in past services first."
        )
    last = last or today - timedelta(days=1)
    if last >= today:
        raise Refusal("The last day must have gone by.", "to")
    first = first or max(begin, last - timedelta(days=USUAL_NIGHTS - 1))
    nights = (last - first).days + 1
    if first < begin:
        raise Refusal(f"Services and readings are on record from {_day(begin)} on.", "from")
    if nights < LEAST_NIGHTS:
        raise Refusal(
            f"These are {counted(max(nights, 0), 'day')}, and services and readings are on record"
            f" from {_day(begin)} on; from {LEAST_NIGHTS} days on a past can be lived again."
        )
    return SpanAsked(first, last)


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"


def _begins(shop: Shop) -> date | None:
    """Return the day from which services, and readings where there are any, are on record."""
    services = standing_records().filter(machine__yard__shop=shop, service__isnull=False)
    done = services.aggregate(at=Min("done_at"))["at"]
    read = Reading.objects.filter(meter__machine__yard__shop=shop).aggregate(at=Min("read_at"))
    moments = [at for at in (done, read["at"]) if at is not None]
    return max(moments).astimezone(shop.zone).date() if done is not None else None


def refuse_thin(loaded: LoadedPast) -> None:
    """Refuse a past of which too little was written down to say anything."""
    past = loaded.past
    services = sum(entry.main for entry in past.done)
    if services < LEAST_SERVICES:
        raise Refusal(
            f"Only {counted(services, 'service')} with a date and an interval of its own"
            f" {'stands' if services == 1 else 'stand'} in the book in these days; at least"
            f" {LEAST_SERVICES} are needed to compare."
        )
    if not any(sum(person.hours) for person in past.crew.people):
        raise Refusal(
            "Nobody in this shop has working hours, so no plan could have been made."
            " Say under Set-up who works when."
        )


def unknown_figures(loaded: LoadedPast) -> dict[str, str]:
    """Return the figures that this past cannot tell, each with the reason as a sentence."""
    found = {}
    nights = loaded.past.nights
    if not any(0 <= booking.first < nights for booking in loaded.past.bookings):
        found["bookings"] = (
            "No booking is on record in these days, so nothing can be said of bookings; every"
            " machine counts as standing in its yard."
        )
    if loaded.timed < LEAST_TIMED * loaded.records:
        found["overtime"] = (
            f"Only {loaded.timed} of {loaded.records} services say how many minutes they took, so"
            " nothing can be said of overtime."
        )
    if not (loaded.past.lines.kind == "hours").any():
        found["thrown"] = (
            "No service here goes by an hour meter, so nothing can be said of hours thrown away."
        )
    return found
