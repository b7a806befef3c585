"""The sweep: one look that fails stops neither the others nor the bell."""

from datetime import timedelta

import pytest

from scheduling.models import PlanSearch
from scheduling.plan.searches import LONGEST_OPEN, close_left_open
from scheduling.worker import sweeping
from tests import consequences
from tests.factories import NOON

pytestmark = pytest.mark.django_db


def test_a_look_that_fails_stops_nothing(monkeypatch, caplog):
    rung, looked = [], []

    def fail(now):
        raise ArithmeticError("no such zone")

    monkeypatch.setattr(sweeping, "LOOKS", (fail, looked.append))
    monkeypatch.setattr(sweeping.entries, "ring", lambda pk, expires: rung.append(pk))
    entry = consequences.OutboxEntry()
    assert sweeping.look_everywhere(NOON) == 1
    assert (looked, rung) == ([NOON], [entry.pk])
    assert "The look fail failed" in caplog.text


def test_searches_that_a_kill_left_open_are_closed_and_no_others():
    began = NOON - LONGEST_OPEN - timedelta(seconds=1)
    left = consequences.PlanSearch(cause="facts", began_at=began)
    fresh = consequences.PlanSearch(cause="facts", began_at=NOON - timedelta(minutes=1))
    asked = consequences.PlanSearch(cause="hand", began_at=began)  # its entry goes on with it
    assert close_left_open(NOON) == 1
    still = PlanSearch.objects.filter(ended_at=None)
    assert {search.pk for search in still} == {fresh.pk, asked.pk}
    left.refresh_from_db()
    assert left.said == "It was cut short, and another took its place."
