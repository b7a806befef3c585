"""GET /healthz: 200 while all is up, 503 with the fault named else."""

from datetime import timedelta

import pytest
from django.db import DatabaseError
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from fleet.models import Person
from fleet.version import VERSION
from scheduling.models import NightlyRun
from scheduling.views import healthz
from tests import consequences, factories

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


@pytest.fixture
def now():
    return timezone.now()


@pytest.fixture
def shop(now):
    """A shop with a machine, set up three days ago."""
    shop = factories.Machine().yard.shop
    factories.Person(shop=shop, date_joined=now - 72 * HOUR)
    return shop


def night(shop, ended, ok=True):
    NightlyRun.objects.create(
        shop=shop, day=ended.date(), started_at=ended, finished_at=ended, report={"ok": ok}
    )


def test_an_empty_site_is_up_without_signing_in(client):
    answer = client.get("/healthz")
    assert (answer.status_code, answer.json()["state"]) == (200, "up")
    assert answer.json()["last_night"] == "none yet"


def test_after_a_good_night_it_is_up_and_says_how_old_it_is(client, shop, now):
    night(shop, now - 7 * HOUR)
    answer = client.get("/healthz")
    assert answer.status_code == 200
    assert answer.json() == {
        "state": "up", "version": VERSION, "database": "up", "queue": "up", "nightly": "up",
        "last_night": "7.0 h ago",
    }  # fmt: skip


@pytest.mark.parametrize(("hours", "ok"), [(37, True), (7, False)])
def test_a_night_that_is_old_or_failed_is_down(client, shop, now, hours, ok):
    night(shop, now - hours * HOUR, ok)
    answer = client.get("/healthz")
    assert answer.status_code == 503
    assert "no complete nightly run in 36 hours" in answer.json()["nightly"]


def test_one_shop_of_two_without_its_night_is_down(client, shop, now):
    night(shop, now)
    factories.Machine()
    assert client.get("/healthz").status_code == 503


def test_a_site_set_up_today_may_have_no_night_yet(client, shop, now):
    Person.objects.update(date_joined=now - HOUR)
    assert client.get("/healthz").status_code == 200


def test_what_nobody_does_for_hours_is_down(client, now):
    consequences.OutboxEntry(due_at=now - 2 * HOUR)
    answer = client.get("/healthz")
    assert answer.status_code == 503
    assert "no worker is running" in answer.json()["queue"]


def test_a_database_that_is_behind_the_program_is_down_and_says_what_to_run(client):
    MigrationRecorder.Migration.objects.filter(app="fleet").delete()
    answer = client.get("/healthz")
    assert (answer.status_code, answer.json()["state"]) == (503, "down")
    assert "run `manage.py migrate`" in answer.json()["database"]
    assert answer.json()["queue"] == "not known while the database is down"


def test_a_queue_that_cannot_be_written_is_down(client, settings, tmp_path):
    settings.DATA = tmp_path  # has no folder of the queue
    settings.REDIS_URL = ""
    assert "cannot be written" in client.get("/healthz").json()["queue"]


def test_a_redis_that_does_not_answer_is_down(client, settings):
    settings.REDIS_URL = "redis://127.0.0.1:1/0"
    answer = client.get("/healthz")
    assert (answer.status_code, answer.json()["queue"]) == (503, "down: Redis does not answer")


def test_a_database_that_does_not_answer_is_down(client, monkeypatch):
    def refuse(now):
        raise DatabaseError("server closed the connection")

    monkeypatch.setitem(healthz.CHECKS, "database", refuse)
    answer = client.get("/healthz")
    assert (answer.status_code, answer.json()["state"]) == (503, "down")
    assert "does not answer" in answer.json()["database"]


def test_it_names_nothing_of_the_fleet(client, shop):
    assert shop.name not in client.get("/healthz").content.decode()


def test_it_is_only_for_asking(client):
    assert client.post("/healthz").status_code == 405
