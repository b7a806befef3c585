"""A worker killed with -9 at the worst moments: nothing is lost, nothing is done twice.

Each test runs on the queue that goes with its database in the two ways to run, the embedded one
with SQLite and Redis with PostgreSQL, in the long form on both; with a mail server of its own.
"""

import os
from datetime import time, timedelta
from urllib.parse import urlsplit, urlunsplit

import pytest
from django.db import connection
from django.utils import timezone
from redis import Redis

from fleet.models import Role
from scheduling.models import NightlyRun, Notice, OutboxEntry
from scheduling.notices.causes import NoticeCause
from scheduling.notices.letter import Letter
from scheduling.notices.posting import NewNotice, put
from scheduling.outbox import entries
from scheduling.worker.night_hours import owe_nights
from tests import factories
from tests.long_run import LONG_RUN
from tests.require import require
from tests.services.workers import Workers, wait_for

pytestmark = [pytest.mark.smtp, pytest.mark.slow, pytest.mark.django_db(transaction=True)]
LETTER = Letter("2 machines held", "2 machines held\n", "<p>2 machines held</p>")


FOLDER, REDIS = "folder", pytest.param("redis", marks=pytest.mark.redis)
OWN = FOLDER if connection.vendor == "sqlite" else REDIS
DATABASES = 16
"""That a Redis server has, where nobody said otherwise."""
QUEUES = [FOLDER, REDIS] if LONG_RUN else [OWN]


def own_database(redis_url: str, worker_id: str) -> str:
    """Return a database of this process's own: tests beside it have their queue in another."""
    parts, number = urlsplit(redis_url), int(worker_id.removeprefix("gw").replace("master", "0"))
    database = (int(parts.path.strip("/") or 0) + number) % DATABASES
    return urlunsplit(parts._replace(path=f"/{database}"))


@pytest.fixture(params=QUEUES)
def workers(request, transactional_db, tmp_path, sink, monkeypatch, worker_id):
    """Workers on a queue; the site rings the same one."""
    redis_url = ""
    if request.param == "redis":
        redis_url = os.environ.get("TEST_REDIS_URL") or os.environ.get("REDIS_URL", "")
        require(redis_url, "Redis (TEST_REDIS_URL)")
        redis_url = own_database(redis_url, worker_id)
        with Redis.from_url(redis_url) as redis:
            redis.delete("celery", "unacked", "unacked_index")
    workers = Workers(tmp_path, sink.port, redis_url)
    monkeypatch.setattr(entries, "app", workers.bell)
    yield workers
    workers.close()


@pytest.fixture
def desk():
    return factories.Person(username="dale", role=Role.DESK)


def notices_to(person, count):
    now = timezone.now()
    cause = NoticeCause(Notice.Kind.AT_RISK, day=now.date())
    for n in range(count):
        put(NewNotice(cause, person, person.shop, LETTER, round=n), now)


def let_leases_run_out():
    """Play the minutes after which a dead worker's lease is over."""
    OutboxEntry.objects.filter(leased_until__isnull=False, done_at=None).update(
        leased_until=timezone.now() - timedelta(seconds=1)
    )


def finish_all(workers):
    """Sweep once a second until nothing is owed any more."""
    for _ in range(90):  # a worker takes half a minute to start where much else is started
        workers.sweep()
        try:
            return wait_for(lambda: not unfinished().exists(), "all is finished", seconds=1)
        except TimeoutError:
            continue
    raise AssertionError(f"left: {list(unfinished().values())}; the workers said: {workers.log()}")


def unfinished():
    return OutboxEntry.objects.filter(done_at=None, failed_at=None)


@pytest.mark.parametrize(
    ("moment", "copies"),
    [
        ("rcpt", 1),  # before the server took it
        ("data", 2),  # the server took it, and the worker died before the mark
    ],
)
def test_a_worker_killed_in_mid_send(workers, sink, desk, moment, copies):
    sink.hold = moment
    victim = workers.start()
    notices_to(desk, 1)
    wait_for(lambda: sink.held, "the worker stands before the mail server")
    workers.kill(victim)
    sink.hold = ""
    assert Notice.objects.get().status == "waiting"
    workers.sweep()  # too early: the lease still holds
    workers.start()
    let_leases_run_out()
    finish_all(workers)
    assert len(sink.mails) == copies
    assert len(set(sink.ids)) == 1
    assert Notice.objects.get().status == "sent"


def test_many_notices_refusals_and_a_kill(workers, sink, desk):
    sink.refusals["dale@example.org"] = ["451 4.3.0 try later"] * 3
    notices_to(desk, 20)  # rung before any worker is up
    victim = workers.start()
    wait_for(lambda: len(sink.mails) >= 5, "some are sent")
    workers.kill(victim)
    workers.start()
    let_leases_run_out()
    finish_all(workers)
    assert len(set(sink.ids)) == 20
    assert len(sink.ids) <= 21  # one may have been on its way when the power went
    assert Notice.objects.exclude(sent_at=None).count() == 20


def fleet_for_a_night():
    """A shop with people, machines and readings enough for a night to take a while."""
    shop = factories.Shop(nightly_at=time(0))  # its night has come at whatever hour this runs
    factories.Person(shop=shop)
    factories.Mechanic(shop=shop)
    yard, makeup = factories.Yard(shop=shop), factories.MakeUp()
    factories.Interval(makeup=makeup)
    now = timezone.now()
    for n in range(30):
        machine = factories.Machine(yard=yard, makeup=makeup)
        meter = factories.Meter(machine=machine)
        for week in range(12):
            factories.Reading(
                meter=meter, value=10.0 * (n + week), read_at=now - timedelta(weeks=12 - week)
            )
    return shop


def catch_in_mid_night(workers, attempts=5):
    """Owe a night and kill the worker while it runs; a night that was too quick is owed anew."""
    for _ in range(attempts):
        NightlyRun.objects.all().delete()
        OutboxEntry.objects.filter(kind=OutboxEntry.Kind.NIGHTLY).delete()
        victim = workers.start()
        owe_nights(timezone.now())
        wait_for(NightlyRun.objects.exists, "the night has begun")
        workers.kill(victim)
        if NightlyRun.objects.get().finished_at is None:
            return
    raise AssertionError("every night was over before the worker could be killed")


def test_a_worker_killed_in_mid_night(workers, sink):
    shop = fleet_for_a_night()
    catch_in_mid_night(workers)
    workers.start()
    let_leases_run_out()
    finish_all(workers)
    run = NightlyRun.objects.get()
    assert (run.shop, run.report["ok"], run.stage) == (shop, True, "")
    assert Notice.objects.filter(kind=Notice.Kind.MORNING).count() == 1
    assert sorted(set(sink.ids)) == sorted(sink.ids)
    assert len(sink.ids) == Notice.objects.exclude(sent_at=None).count() == Notice.objects.count()
