"""Trying changes out on the pages: the manager tries and publishes, the mechanic looks."""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.models import Absence, ClosedDay, Role
from scheduling.models import OutboxEntry, Trial
from scheduling.plan import plan_shop
from scheduling.worker.perform import perform_entry
from tests import consequences, factories
from tests.factories import NOON, TODAY
from tests.pages import answer, at_noon, sign_in, words  # noqa: F401  a fixture
from tests.scheduling.trial.conftest import (  # noqa: F401  fixtures
    bo,
    due_in,
    filter_part,
    mechanic,
    oil,
    planned,
    refreshed,
    shop,
    yard,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]
TOMORROW = (TODAY + timedelta(days=1)).isoformat()


@pytest.fixture
def person(client, planned, shop):  # noqa: F811
    return sign_in(client, shop=shop)


def work():
    """Let the worker do what is owed."""
    for entry in OutboxEntry.objects.filter(kind=OutboxEntry.Kind.TRIAL, done_at=None):
        assert perform_entry(entry.pk, NOON)


def tried(client, what="closed", **given):
    """Try one change out on the page; return its trial, worked out."""
    client.post(reverse("trial-new", args=[what]), {"day": TOMORROW} | given)
    work()
    return Trial.objects.latest("pk")


def page_of(trial):
    return reverse("trial", args=[trial.pk])


def test_the_page_offers_every_change_and_says_that_nothing_moves_yet(client, person):
    page = client.get(reverse("trials"))
    assert answer(page) == "What would you change in the plan?"
    for title in (
        "A mechanic away", "A day closed", "A closed day open", "An extra mechanic", "A part late",
        "A booking taken", "Work moved to a day", "More overtime on a day",
    ):  # fmt: skip
        assert title in words(page)


def test_a_change_is_tried_out_and_its_differences_are_shown(client, person, planned):  # noqa: F811
    day = planned[0].planned_jobs.get().day
    gone = client.post(reverse("trial-new", args=["closed"]), {"day": day, "reason": "fair"})
    trial = Trial.objects.get()
    assert gone.url == page_of(trial)
    assert "being worked out" in answer(client.get(page_of(trial)))
    work()
    page = client.get(page_of(trial))
    assert answer(page).startswith("With the shop closed on")
    for said in (planned[0].tag, "Oil change", "Publish this", "Throw it away", "Term by term"):
        assert said in words(page)
    assert not ClosedDay.objects.exists()


def test_publishing_says_so_and_shows_who_and_when(client, person):
    trial = tried(client)
    page = client.post(reverse("trial-publish", args=[trial.pk]), follow=True)
    assert "the changes are on record" in words(page)
    assert f"Published by {person}" in words(page)
    assert ClosedDay.objects.get().by == person
    assert "Publish this" not in words(page)


def test_a_trial_on_facts_that_moved_says_so_and_is_worked_out_again(client, person, mechanic):  # noqa: F811
    trial = tried(client)
    Absence.objects.create(person=mechanic, first_day=TODAY, last_day=TODAY)
    page = client.post(reverse("trial-publish", args=[trial.pk]), follow=True)
    assert "nothing was published" in words(page)
    assert "being worked out" in answer(page)
    assert not ClosedDay.objects.exists()


def test_a_plan_made_anew_is_named_before_anybody_publishes(client, person, shop, mechanic):  # noqa: F811
    trial = tried(client)
    Absence.objects.create(person=mechanic, first_day=TODAY, last_day=TODAY)
    plan_shop(shop, NOON, seconds=2)
    assert "plan has changed since" in words(client.get(page_of(trial)))


def test_throwing_away_changes_nothing(client, person):
    trial = tried(client)
    page = client.post(reverse("trial-drop", args=[trial.pk]), follow=True)
    assert "the plan stands as it was" in words(page)
    assert not ClosedDay.objects.exists()
    assert "Thrown away" in words(client.get(reverse("trials")))


def test_one_thrown_away_before_it_was_worked_out_can_still_be_looked_at(client, person):
    client.post(reverse("trial-new", args=["closed"]), {"day": TOMORROW})
    trial = Trial.objects.get()
    client.post(reverse("trial-drop", args=[trial.pk]))
    work()
    page = client.get(page_of(trial))
    assert "was never worked out" in words(page)
    assert "Thrown away by" in words(page)


def test_changes_are_added_and_taken_out(client, person):
    trial = tried(client)
    add = reverse("trial-add", args=[trial.pk, "overtime"])
    for _ in range(2):
        client.post(add, {"day": TOMORROW, "hours": "2"})
        work()
    trial.refresh_from_db()
    assert [row["what"] for row in trial.changes] == ["closed", "overtime"]
    assert "2 h more overtime each" in words(client.get(page_of(trial)))
    client.post(reverse("trial-without", args=[trial.pk, 0]))
    client.post(reverse("trial-without", args=[trial.pk, 7]))
    trial.refresh_from_db()
    assert [row["what"] for row in trial.changes] == ["overtime"]


def test_a_form_sent_twice_is_one_trial(client, person):
    for _ in range(2):
        client.post(reverse("trial-new", args=["closed"]), {"day": TOMORROW, "form_key": "k"})
    assert Trial.objects.count() == 1


BAD = [
    ("closed", {"day": "2020-01-01"}, "That day has gone by"),
    ("closed", {"day": "soon"}, "not a day of the calendar"),
    ("opened", {"hours": "30"}, "Say hours from 0.5 to 24"),
    ("overtime", {"hours": "lots"}, "Write the hours in digits"),
    ("away", {"person": "nobody"}, "Nobody of that name"),
    ("moved", {"work": "m:1:987654321"}, "no longer in the plan"),
    ("late", {"delivery": "999"}, "not on its way here"),
]


@pytest.mark.parametrize(("what", "given", "sentence"), BAD)
def test_a_bad_change_gets_a_sentence_where_it_was_typed(client, person, what, given, sentence):
    sent = {"day": TOMORROW, "reason": "kept as typed"} | given
    page = client.post(reverse("trial-new", args=[what]), sent)
    assert page.status_code == 422
    assert sentence in words(page)
    assert not Trial.objects.exists()


def test_what_was_typed_is_not_lost(client, person):
    bad = {"day": "2020-01-01", "reason": "county fair"}
    page = client.post(reverse("trial-new", args=["closed"]), bad).content.decode()
    assert 'value="county fair"' in page
    assert '<details class="fold" open id="closed">' in page


def test_a_bad_change_more_is_shown_on_the_trials_page(client, person):
    trial = tried(client)
    page = client.post(reverse("trial-add", args=[trial.pk, "closed"]), {"day": "2020-01-01"})
    assert page.status_code == 422
    assert "That day has gone by" in words(page)


def test_the_mechanic_looks_and_publishes_nothing(client, person, shop):  # noqa: F811
    trial = tried(client)
    sign_in(client, Role.MECHANIC, shop)
    page = client.get(page_of(trial))
    assert "Only the fleet manager publishes" in words(page)
    assert "Publish this" not in words(page)
    refused = client.post(reverse("trial-publish", args=[trial.pk]), follow=True)
    assert "Only the fleet manager publishes" in words(refused)
    assert not ClosedDay.objects.exists()
    assert client.post(reverse("trial-new", args=["closed"])).status_code == 403
    assert "Nothing is being tried out" not in answer(client.get(reverse("trials")))


def test_others_are_kept_out(client, person, shop):  # noqa: F811
    foreign = consequences.Trial()
    assert client.get(page_of(foreign)).status_code == 404
    assert client.post(reverse("trial-publish", args=[foreign.pk])).status_code == 404
    sign_in(client, Role.DESK, shop)
    assert client.get(reverse("trials")).status_code == 403
    client.logout()
    assert client.get(reverse("trials")).status_code == 302


@pytest.mark.parametrize("name", ["trial-new", "trial-publish", "trial-drop", "trial-again"])
def test_looking_changes_nothing(client, person, name):
    argument = "closed" if name == "trial-new" else consequences.Trial(by=person).pk
    assert client.get(reverse(name, args=[argument])).status_code == 405


def test_what_is_no_change_is_not_found(client, person):
    assert client.post(reverse("trial-new", args=["moon"])).status_code == 404
    trial = consequences.Trial(by=person)
    assert client.post(reverse("trial-add", args=[trial.pk, "moon"])).status_code == 404


def test_without_a_shop_the_page_says_so(client):
    client.force_login(factories.Person(shop=None))
    assert answer(client.get(reverse("trials"))) == "No shop is set up yet."


def test_the_number_of_queries_does_not_grow(client, person, django_assert_num_queries):
    def asked():
        with django_assert_num_queries(25):
            client.get(reverse("trials"))
            return client.get(page_of(trial))

    trial = tried(client)
    asked()
    for _ in range(4):
        consequences.Trial(by=person)
        factories.Mechanic(shop=person.shop)
    asked()
