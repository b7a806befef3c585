"""The queue's names: what the schedule and the bell call is really there."""

import pytest
from django.utils import timezone

from fleet.celery import app
from scheduling import tasks
from scheduling.models import OutboxEntry
from tests import consequences, factories


@pytest.mark.parametrize("name", ["scheduling.tasks.perform_entry", "scheduling.tasks.sweep"])
def test_the_bell_and_the_sweep_are_known_to_the_worker(name):
    assert name in app.tasks


def test_everything_on_the_schedule_is_known_to_the_worker():
    assert {each["task"] for each in app.conf.beat_schedule.values()} <= set(app.tasks)


def test_in_another_thread_the_tasks_belong_to_the_same_application():
    """A web server's threads would otherwise ring a queue that nobody listens to."""
    import threading  # noqa: PLC0415

    found = []
    thread = threading.Thread(target=lambda: found.append(tasks.sweep.app))
    thread.start()
    thread.join()
    assert found[0].main == app.main


@pytest.mark.django_db
def test_each_task_reads_the_clock_and_calls_one_function(monkeypatch):
    monkeypatch.setattr("scheduling.outbox.entries.ring", lambda pk, expires=None: None)
    factories.Shop(nightly_at="00:00")
    assert tasks.nights() == 1
    assert tasks.sweep() == 2  # the night and the copy of the site
    gone = consequences.OutboxEntry(due_at=timezone.now(), payload={"notice": 12345})
    assert tasks.perform_entry(gone.pk)
    assert OutboxEntry.objects.filter(done_at__isnull=False).get() == gone
