"""Chances by a day.  Today is Monday 2 March 2026; the meter runs 4 h a day."""

from datetime import timedelta

import pytest

from scheduling.due.refresh import refresh
from scheduling.models import DuePoint
from scheduling.queries.due_chances import AHEAD, chances, say_chance
from scheduling.queries.machine_use import machine_use
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY, point, serviced, steady

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def machine():
    machine = make.Machine()
    steady(machine, every=1)
    return machine


def with_service(machine, days_ago=15, **rule):
    interval = make.Interval(makeup=machine.makeup, **{"every": 100.0, **rule})
    serviced(machine, interval.service, days_ago)
    refresh(None, NOW)


def told(machine, asked=None):
    """Days ahead -> chance in words, of the machine's only service."""
    points = list(DuePoint.objects.filter(machine=machine).select_related("service"))
    found = chances(points, machine_use(machine, NOW), asked)
    ((_, said),) = found.rows
    return dict(zip([(day - TODAY).days for day in found.days], said, strict=True))


def figure(words):
    return {"under 1 %": 0, "over 99 %": 100, "sure": 100}.get(words) or float(
        words.removesuffix(" %").removeprefix("under ")
    )


def test_the_chance_rises_and_is_a_half_about_the_middle_date(machine):
    with_service(machine)  # 60 h of 100 are run, 40 h are left: ten days
    middle = point().p50
    said = told(machine, middle)
    assert list(said) == [(middle - TODAY).days, *AHEAD]
    assert 45 <= figure(said[(middle - TODAY).days]) <= 75
    rising = [figure(said[ahead]) for ahead in AHEAD]
    assert rising == sorted(rising)
    assert figure(said[120]) >= 95


def test_a_date_by_the_calendar_is_sure_from_its_day_on(machine):
    with_service(machine, days_ago=10, every=5000.0, every_days=30)  # due in 20 days
    said = told(machine, TODAY + 19 * DAY)
    assert (said[19], said[30], said[14]) == ("under 1 %", "sure", "under 1 %")


def test_what_a_reading_shows_due_is_sure(machine):
    with_service(machine, days_ago=40)
    assert set(told(machine).values()) == {"sure"}


def test_what_was_never_done_and_starts_nowhere_is_sure(machine):
    machine.started_on = None
    machine.save()
    make.Interval(makeup=machine.makeup, meter_kind="", every=None, every_months=12)
    refresh(None, NOW)
    assert set(told(machine).values()) == {"sure"}


def test_a_service_of_which_nothing_is_known_is_left_out(machine):
    make.Interval(makeup=machine.makeup, meter_kind="cycles", every=100.0)
    refresh(None, NOW)
    points = list(DuePoint.objects.filter(machine=machine))
    assert chances(points, machine_use(machine, NOW)).rows == []


def test_a_retired_machine_has_no_chances(machine):
    with_service(machine)
    machine.retired_on = TODAY
    machine.save()
    points = list(DuePoint.objects.all())
    assert chances(points, machine_use(machine, NOW)).rows == []


@pytest.mark.parametrize(
    ("chance", "words"),
    [(0.0, "under 1 %"), (0.009, "under 1 %"), (0.35, "35 %"), (0.99, "99 %"),
     (0.995, "over 99 %"), (1.0, "sure")],
)  # fmt: skip
def test_no_figure_is_said_finer_than_it_can_be_trusted(chance, words):
    assert say_chance(chance) == words
