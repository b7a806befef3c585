"""One act, one refresh: what a POST costs in queries, whatever the size of the yard."""

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from fleet import models
from fleet.actions.hand_over import WalkRound, check_out
from scheduling.due import refresh as refreshing
from scheduling.due.refresh import refresh
from scheduling.models import OutboxEntry
from scheduling.worker import perform
from tests.factories import NOON, TODAY
from tests.scheduling.busy_yard import LARGE, SMALL, busy_yard
from tests.scheduling.counter_case import FINE

pytestmark = pytest.mark.django_db
MOST_QUERIES = 83 if connection.vendor == "sqlite" else 85
"""Of one POST and of all that follows from it; one asks whether what was measured beyond
its limit stands on the machine already, two what the steps of its build take from the shelf.

On PostgreSQL the lock of a machine's row and what an entry of the outbox holds are asked apart.
"""


def _meters(yard):
    return {"reading_hours": f"{yard.last_value + 4}", "reading_distance": "330"}


def _hand_over(yard, page, **more):
    typed = {"form_key": "k1", **_meters(yard), **FINE}
    return reverse(page, args=[yard.booking.pk]), typed | more


def _out(yard):
    check_out(yard.booking, WalkRound(), by=yard.desk, now=NOON)


def _job(yard, **more):
    typed = {"form_key": "a" * 32, **_meters(yard), "minutes": "50"}
    return f"{reverse('job', args=[yard.machine.tag])}?day={TODAY}", typed | more


def _checked_out(yard):
    return _hand_over(yard, "check-out")


def _checked_out_with_faults(yard):
    return _hand_over(yard, "check-out", point_1="no", safety_reason="used on flat ground alone")


def _refused(yard):
    return _hand_over(yard, "check-out", point_2="no")


def _brakes_fail(yard):
    return _hand_over(yard, "check-out", point_1="no")


def _not_safe_to_go(yard):
    return _hand_over(yard, "check-out", unsafe="on", unsafe_text="brakes fail")


def _returned(yard):
    _out(yard)
    return _hand_over(yard, "check-in", point_1="no")


def _returned_unsafe(yard):
    _out(yard)
    return _hand_over(yard, "check-in", unsafe="on", unsafe_text="brakes fail")


def _finished(yard):
    limit = models.Limit.objects.get()
    typed = {
        "done": yard.planned("oil", "check"),
        f"limit_{limit.pk}": "150",
        f"soon_limit_{limit.pk}": "plan",
        "finding": "hose chafed",
    }
    return _job(yard, gravity="defect", note="done", **typed)


def _noted(yard):
    return _job(yard, finding="brakes fail", gravity="unsafe", minutes="")


def _put_off(yard):
    typed = {"done": yard.planned("oil", "check"), "reason": "no filter"}
    return f"{reverse('put-off', args=[yard.machine.tag])}?day={TODAY}", typed


def _booked(yard):
    typed = {
        "first_day": TODAY,
        "last_day": TODAY,
        "customer": "Alder Creek",
        "form_key": "b" * 20,
    }
    yard.booking.delete()
    return reverse("counter-book", args=[yard.machine.tag]), typed


def _walked_in(yard):
    until = {
        "last_day": TODAY,
        "customer": "Alder Creek",
        "phone": "555 0101",
        "form_key": "w" * 20,
    }
    named = {"tag": yard.machine.tag, "sheet": yard.machine.tag, "do": "out"}
    yard.booking.delete()
    return reverse("walk-in"), _meters(yard) | FINE | named | until


def _prolonged(yard):
    typed = {"last_day": yard.booking.last_day.replace(day=9), "reason": "asked for a day more"}
    return reverse("booking-last-day", args=[yard.booking.pk]), typed


def _called_off(yard):
    return reverse("booking-off", args=[yard.booking.pk]), {}


def _reading_put_right(yard):
    last = yard.meter.readings.latest("read_at")
    return reverse("reading", args=[last.pk]), {"value": f"{last.value + 1}", "note": "misread"}


def _meter_round(yard):
    typed = {f"value-{yard.meter.pk}": f"{yard.last_value + 4}", f"key-{yard.meter.pk}": "k" * 16}
    return reverse("meter-round-line", args=[yard.meter.pk]), typed | {"key": "k" * 16}


ACTS = {
    "check-out": _checked_out,
    "check-out with a fault": _checked_out_with_faults,
    "check-out refused": _refused,
    "check-out with a fault for safety": _brakes_fail,
    "not safe to go": _not_safe_to_go,
    "return": _returned,
    "return, not safe": _returned_unsafe,
    "finish a job": _finished,
    "note a finding": _noted,
    "put off": _put_off,
    "book": _booked,
    "walk in": _walked_in,
    "prolong": _prolonged,
    "call off": _called_off,
    "correct a reading": _reading_put_right,
    "meter round": _meter_round,
}
STAYS = {"check-out refused", "meter round"}
"""Acts that are answered with a page; the others go on to the next one."""


@pytest.fixture
def steps(monkeypatch):
    """What was done after facts changed, in its order: "refresh" and "warn"."""
    done = []

    def noted(module, name, step):
        real = getattr(module, name)

        def call(*args, **kwargs):
            done.append(step)
            return real(*args, **kwargs)

        monkeypatch.setattr(module, name, call)

    noted(refreshing, "load_facts", "refresh")
    noted(perform, "warn_of_risks", "warn")
    return done


@pytest.fixture
def post(client, monkeypatch, steps, django_capture_on_commit_callbacks):
    """Send the POST of an act with all that follows from it; return the answer and its queries."""
    monkeypatch.setattr(timezone, "now", lambda: NOON)

    def sent(act, size):
        yard = busy_yard(size)
        with django_capture_on_commit_callbacks(execute=True):
            address, typed = ACTS[act](yard)
        client.force_login(yard.mechanic if "bench" in address else yard.desk)
        steps.clear()
        with (
            CaptureQueriesContext(connection) as seen,
            django_capture_on_commit_callbacks(execute=True),
        ):
            return client.post(address, typed), seen

    return sent


@pytest.mark.parametrize("act", ACTS)
def test_an_act_is_followed_by_one_refresh_and_then_the_warnings(post, steps, act):
    answer, _ = post(act, SMALL)
    assert answer.status_code == (200 if act in STAYS else 302)
    assert steps == ["refresh", "warn"]
    assert not OutboxEntry.objects.filter(kind="refresh", done_at=None).exists()


@pytest.mark.parametrize("act", ACTS)
def test_an_act_asks_few_queries_and_no_more_in_a_larger_yard(post, act):
    """Transaction statements counted; machines, bookings and weeks of past are 4 to 6 fold."""
    counts = []
    for size in (SMALL, LARGE):
        with transaction.atomic():
            counts.append(len(post(act, size)[1]))
            transaction.set_rollback(True)
    assert max(counts) <= MOST_QUERIES
    assert counts[1] <= counts[0]


@pytest.mark.parametrize("act", ACTS)
def test_after_an_act_nothing_is_left_to_work_out(post, act):
    """What a check-out worked out before it wrote the hand-over holds after it, too."""
    post(act, SMALL)
    again = refresh(None, NOON)
    assert (again.created, again.updated, again.deleted) == (0, 0, 0)
