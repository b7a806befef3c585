"""What people do on the demo before it is dumped, so that few tables of a dump stand empty.

The demo itself has nobody's decisions.  Those are what is dearest in a database and what a
migration loses most easily, since they name work by keys: so somebody pins, puts off, publishes,
books against a block, moves a delivery, tries changes, and subscribes to a calendar.
"""

from datetime import datetime, timedelta

from django.test import Client

from fleet.actions.decide_work import PinPlace, estimate, lift_pin, override_block, pin, put_off
from fleet.actions.delay_deliveries import delay_delivery
from fleet.actions.make_bookings import move_last_day
from fleet.actions.open_calendar import calendar_key
from fleet.actions.put_in_last_done import Said, put_in_last_done
from fleet.models import (
    Booking,
    Delivery,
    LastDoneAnswer,
    OpenDay,
    OvertimeDay,
    Person,
)
from scheduling.actions.replan import publish_days
from scheduling.actions.try_changes import ask_trial
from scheduling.models import OutboxEntry, PlannedWork, RangeLevels
from scheduling.trial.changes import Change, DayClosed, DayOpened, MoreOvertime, Moved, TakesLonger
from scheduling.worker.perform import perform_entry
from tests.releases.acting_people import ActingPeople
from tests.releases.later_acts import use_what_came_since

PUBLISHED = 14
"""Days."""


def act(now: datetime) -> None:
    """Do one of each, on the demo after its night."""
    named = Person.objects.get
    mechanic = named(username="ingrid")
    people = ActingPeople(
        mechanic.shop, named(username="odile"), named(username="wes"), mechanic, now
    )
    decide(people)
    promise(people)
    make_room(people)
    try_changes(people)
    say_what_is_not_known(people)
    be_at_the_door(people)
    use_what_came_since(people)
    for entry in OutboxEntry.objects.filter(done_at=None, kind=OutboxEntry.Kind.TRIAL):
        perform_entry(entry.pk, now)


def decide(people: ActingPeople) -> None:
    """Publish; pin a service and a finding, one pin lifted; put off; say how long it takes."""
    publish_days(people.shop, people.today, PUBLISHED, by=people.manager, now=people.now)
    first, second = services(people)[:2]
    finding = planned(people).filter(finding__isnull=False).first() or second
    who = {"by": people.manager, "now": people.now}
    for work in (first, second, finding):
        day = work.job.day + timedelta(days=7)
        pin(work.machine, work.work_key, PinPlace(day, people.mechanic), **who)
    lift_pin(second.work_key, **who)
    put_off(second.machine, second.work_key, second.job.day, reason="part is missing", **who)
    estimate(first.machine, first.work_key, 150, reason="bolts are rusted in", **who)


def promise(people: ActingPeople) -> None:
    """A booking against a block, one that lasts longer, a delivery that comes later."""
    booked = Booking.objects.filter(cancelled_at=None, first_day__gt=people.today).order_by("pk")
    override_block(
        booked[0], against="Engine oil and filter overdue by 31 h",
        reason="their own mechanic does it on site", by=people.desk, now=people.now,
    )  # fmt: skip
    last = booked.order_by("first_day").last()
    assert last is not None
    after = last.last_day + timedelta(days=1)
    move_last_day(last, after, reason="asked for a day more", by=people.desk, now=people.now)
    delivery = Delivery.objects.filter(received_at=None).order_by("pk")[0]
    later = delivery.expected_on + timedelta(days=4)
    delay_delivery(
        delivery, expected_on=later, by=people.manager, at=people.now, note="the carrier rang"
    )
    calendar_key(people.mechanic, now=people.now)


def make_room(people: ActingPeople) -> None:
    """A day opened, overtime on another, and the ranges that forecasts have learnt."""
    shop, by, now = people.shop, people.manager, people.now
    day = people.today + timedelta(days=20)
    OpenDay.objects.create(shop=shop, day=day, hours=4, reason="stocktaking is off", by=by, at=now)
    OvertimeDay.objects.create(
        shop=shop, day=day + timedelta(days=1), hours=2, reason="before the fair", by=by, at=now
    )
    RangeLevels.objects.create(
        shop=shop, kind="hours", holds_from=people.today, low=0.08, high=0.93, judged=120
    )


def try_changes(people: ActingPeople) -> None:
    """A trial worked out, with several kinds of change, two of them about one piece of work."""
    work, day = services(people)[2], people.today + timedelta(days=9)
    named = {
        "machine": work.machine_id,
        "tag": work.machine.tag,
        "work_key": work.work_key,
        "title": work.title,
    }
    changes: list[Change] = [
        DayClosed(day, "funeral"),
        DayOpened(day + timedelta(days=2), 4.0),
        MoreOvertime(day + timedelta(days=1), 2.0),
        Moved(**named, day=work.job.day + timedelta(days=7), mechanic=people.mechanic.username),
        TakesLonger(**named, minutes=200),
    ]
    ask_trial(people.shop, changes, by=people.manager, now=people.now)


def say_what_is_not_known(people: ActingPeople) -> None:
    """Of one service nobody knows when it was last done."""
    work = services(people)[0]
    unknown = Said(work.machine, work.service, LastDoneAnswer.Answer.UNKNOWN)
    put_in_last_done([], [unknown], by=people.manager, now=people.now)


def be_at_the_door(people: ActingPeople) -> None:
    """Somebody is signed in, somebody else mistypes the password."""
    Client().force_login(people.manager)
    there = Client(SERVER_NAME="127.0.0.1")
    there.post("/sign-in/", {"username": people.desk.username, "password": "not this one"})


def planned(people: ActingPeople):
    """Planned work of the shop, by day."""
    rows = PlannedWork.objects.filter(plan__shop=people.shop, job__isnull=False)
    return rows.select_related("machine", "job").order_by("job__day", "pk")


def services(people: ActingPeople) -> list[PlannedWork]:
    """Planned services of three machines."""
    found: dict[int, PlannedWork] = {}
    for work in planned(people).filter(service__isnull=False):
        found.setdefault(work.machine_id, work)
    return list(found.values())
