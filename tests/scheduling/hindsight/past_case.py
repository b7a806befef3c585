"""A shop with seven months on record: four machines that run 2 to 5 h a day, one mechanic.

Every 100 h each is serviced, by the book ten days late as a rule, so that plans can do better.
"""

from datetime import date, datetime, timedelta

from fleet.models import Booking, HandOver, Person, RecordedMeter, Shop
from scheduling.core.replay import DoneBook, night_facts, night_problem
from scheduling.hindsight.past_loading import load_past
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY, ago, serviced, steady

FIRST, LAST = TODAY - timedelta(days=120), TODAY - timedelta(days=1)
LATE_DAYS = 10


def made_past() -> Shop:
    """Make the shop, with bookings of two machines."""
    shop = make.Shop(name="North")
    make.Mechanic(shop=shop, username="ada")
    makeup = make.MakeUp()
    prices = {"service__overdue_cost_per_day": 8.0, "service__value": 60.0}
    service = make.Interval(
        makeup=makeup, every=100.0, late=10.0, service__blocks_rental=True, **prices
    ).service
    for number in range(4):
        rate = 2.0 + number
        machine = make.Machine(yard__shop=shop, makeup=makeup, started_on=date(2025, 1, 1))
        meter = steady(machine, rate=rate, days=210, every=7)
        for n in range(12):
            days_ago = 210 - round((100.0 / rate + LATE_DAYS) * (n + 1))
            if days_ago > 0:
                record = serviced(machine, service, days_ago, minutes=70)
                shown = 100.0 + rate * (210 - days_ago)
                RecordedMeter.objects.create(record=record, meter=meter, value=shown)
    machine = shop.yards.first().machines.get()
    for n in range(6):
        first = FIRST + timedelta(days=10 + 18 * n)
        booked(machine, first, first + timedelta(days=4), made=first - timedelta(days=12))
    return shop


def booked(machine, first: date, last: date, *, made: date) -> Booking:
    """Make a booking, out and back on its days."""
    row = make.Booking(machine=machine, first_day=first, last_day=last, made_at=at(made))
    if last < TODAY:
        for direction, day in (("out", first), ("back", last)):
            HandOver.objects.create(booking=row, direction=direction, at=at(day))
    return row


def at(day: date) -> datetime:
    """The usual noon of a day."""
    return NOW + timedelta(days=(day - TODAY).days)


def problem_of(shop: Shop, night: int):
    """Return what a night would plan that comes after the book as it was until then."""
    loaded = load_past(shop, FIRST, LAST, NOW)
    past = loaded.past
    book = DoneBook(past.lines, past.first_day, past.before)
    for done in (*past.given, *past.done):
        if done.at < night:
            book.add(done.line, int(done.at), done.life)
    facts = night_facts(past, night, loaded.use.foresight(night))
    return night_problem(past, facts, book.points(), {})


__all__ = ["FIRST", "LAST", "NOW", "TODAY", "Person", "ago", "at", "booked", "made_past",
           "problem_of"]  # fmt: skip
