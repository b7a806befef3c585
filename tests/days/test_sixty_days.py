"""The demo loaded on one day after another: each night works, each page is alive, figures agree.

They begin before Christmas, so that days on which the shop is shut, the end of a year and those of
two months are among them; other days that are odd are walked in tests/browser.  The demo whole is
loaded on the first of the year, and in the long form (tests/long_run.py) on every thirtieth day; a
small fleet on the others.  The long form tries all sixty, in a quarter of an hour; the short one
the first, the day before a holiday, the first of the year and the day on which a month ends.
Nothing is left behind: each day is a transaction that is rolled back.
"""

from datetime import date, datetime, time, timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.db.models import Q
from django.test import Client
from django.utils import timezone

from fleet.demo.scenario import zone
from fleet.models import ClosedDay, Person, Shop, ShopHours
from scheduling.models import PlannedJob
from scheduling.worker.night import run_night
from tests.days import read_pages
from tests.every_page import PEOPLE, open_every_page
from tests.long_run import LONG_RUN

pytestmark = [pytest.mark.slow, pytest.mark.django_db]
FIRST, DAYS = date(2027, 12, 20), 60
NEW_YEAR = date(2028, 1, 1)
MORNING = time(8, 30)
SMALL = 12
"""Machines of the demo on most days."""
PLAN_SECONDS = 0.5


def is_whole(day: date) -> bool:
    """Whether the demo is loaded whole on that day."""
    return day == NEW_YEAR or (LONG_RUN and (day - FIRST).days % 30 == 0)


def days_tried() -> list[date]:
    """Return the days of this run."""
    every = [FIRST + timedelta(days=n) for n in range(DAYS)]
    if LONG_RUN:
        return every
    return [FIRST, date(2027, 12, 24), NEW_YEAR, date(2028, 1, 31)]


@pytest.mark.parametrize("day", days_tried(), ids=lambda day: f"{day:%a-%d-%b}")
def test_the_demo_is_alive_on_that_day(day: date, monkeypatch: pytest.MonkeyPatch, settings):
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # nobody signs in
    now = datetime.combine(day, MORNING, zone())
    monkeypatch.setattr(timezone, "now", lambda: now)
    machines = None if is_whole(day) else SMALL
    call_command("load_demo", date=str(day), machines=machines, stdout=StringIO())
    for shop in Shop.objects.all():
        report = run_night(shop, now, plan_seconds=PLAN_SECONDS)
        assert report["ok"], report
    people = PEOPLE if is_whole(day) else PEOPLE[:1]  # the manager, who may see all
    found = open_every_page(people, sheets=day in (FIRST, NEW_YEAR))
    assert found.faults == [], "\n".join(map(str, found.faults))
    client = Client(SERVER_NAME="127.0.0.1")
    client.force_login(Person.objects.get(username="odile"), BACKEND)
    sentences_agree_with_tables(client)
    for shop in Shop.objects.all():
        somebody_works_on_the_next_shop_day(client, shop, day)


BACKEND = "django.contrib.auth.backends.ModelBackend"


def sentences_agree_with_tables(client: Client) -> None:
    """The Yard's three numbers, the list of machines, and what stands below them."""
    yard = read_pages.read_yard(client)
    held, overdue = (read_pages.machines_in(client, state) for state in ("held", "overdue"))
    assert len(overdue) == yard.says_overdue
    assert set(yard.overdue) == overdue  # what is held is counted as held alone
    assert len(yard.overdue) == len(overdue)
    assert len(held) == yard.says_held
    assert len(yard.no_way) == yard.says_at_risk
    machines, by_state = read_pages.fleet_says(client)
    assert sum(by_state) == machines > 0


def somebody_works_on_the_next_shop_day(client: Client, shop: Shop, today: date) -> None:
    """The lists of that day are the plan's, and one of them has work."""
    day = next_shop_day(shop, today)
    jobs = PlannedJob.objects.filter(
        Q(day=day) | Q(day__lt=day, last_day__gte=day), plan__shop=shop
    )
    assert jobs.exists(), f"nobody works on {day}"
    says, visits = read_pages.read_shop_days(client, day)
    assert says == len(set(visits)) > 0
    for mechanic in {job.mechanic for job in jobs}:
        bench = read_pages.read_bench(client, mechanic.username, day)
        assert bench.says == len(bench.tags)
        assert [bench.says_first] == bench.tags[:1]
        mine = {job.machine.tag for job in jobs if job.mechanic == mechanic}
        assert set(bench.tags) <= mine
        assert {job.machine.tag for job in jobs if job.mechanic == mechanic and job.day == day} <= (
            set(bench.tags)
        )


def next_shop_day(shop: Shop, today: date) -> date:
    """Return the first day from today on on which the shop is open."""
    weekdays = set(ShopHours.objects.filter(shop=shop).values_list("weekday", flat=True))
    shut = set(ClosedDay.objects.filter(shop=shop, yard=None).values_list("day", flat=True))
    ahead = (today + timedelta(days=n) for n in range(30))
    return next(day for day in ahead if day.weekday() in weekdays and day not in shut)
