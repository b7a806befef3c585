"""Searches for a plan: owed once, told while they run, and kept owed when they fail."""

from datetime import timedelta

import pytest

from scheduling.models import OutboxEntry, PlanSearch
from scheduling.plan import searches
from tests import consequences, factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


def test_asking_owes_an_entry_beside_the_row():
    person = factories.Person()
    search = searches.ask(person.shop, by=person, now=NOON)
    entry = OutboxEntry.objects.get(kind=OutboxEntry.Kind.REPLAN)
    assert entry.payload == {"search": search.pk}
    assert (search.cause, search.by, search.began_at) == ("hand", person, None)


def test_a_search_ends_with_what_was_said():
    search = consequences.PlanSearch()
    with searches.begun(search, NOON) as running:
        running.tell.stage("the plan")
        search.refresh_from_db()
        assert (search.stage, search.began_at, search.ended_at) == ("the plan", NOON, None)
        running.said = "Planned again."
    search.refresh_from_db()
    assert (search.said, search.stage, search.failed) == ("Planned again.", "", False)
    assert search.ended_at >= NOON


def test_a_search_that_fails_says_so_and_does_not_end():
    search = consequences.PlanSearch()
    with pytest.raises(RuntimeError), searches.begun(search, NOON):
        raise RuntimeError
    search.refresh_from_db()
    assert search.failed
    assert search.ended_at is None
    assert "tried again" in search.stage


def test_old_searches_are_forgotten():
    consequences.PlanSearch(asked_at=NOON - timedelta(days=31))
    kept = consequences.PlanSearch()
    searches.forget_old(NOON)
    assert list(PlanSearch.objects.all()) == [kept]
