"""Something broke today: the fewest moves are shown first, then accepted or left."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.models import Absence, BayLoan, Finding, Hold, Role, StockMovement
from scheduling.models import Notice, OutboxEntry, Plan, PlannedWork, Trial
from scheduling.worker.perform import perform_entry
from tests import factories
from tests.factories import NOON, TODAY, key_of
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
LAST = (TODAY + timedelta(days=10)).isoformat()


@pytest.fixture
def manager(client, planned, shop):  # noqa: F811
    return sign_in(client, shop=shop)


def job_of(machine):
    return PlannedWork.objects.select_related("job__mechanic").get(machine=machine).job


def reported(client, what="away", **given):
    """Say what broke on the page, and have it worked out."""
    days = {"first": TODAY.isoformat(), "last": LAST}
    client.post(reverse("broke-mend", args=[what]), days | given)
    for entry in OutboxEntry.objects.filter(kind=OutboxEntry.Kind.TRIAL, done_at=None):
        assert perform_entry(entry.pk, NOON)
    return Trial.objects.latest("pk")


def accept(client, trial):
    return client.post(reverse("trial-publish", args=[trial.pk]), follow=True)


def test_the_page_asks_what_broke(client, manager):
    page = client.get(reverse("broke"))
    assert answer(page) == "What happened?"
    for title in (
        "A mechanic away", "A part turns out to be missing", "A part late",
        "A machine does not come back in time", "A job takes longer", "A bay lost",
        "A machine broke down",
    ):  # fmt: skip
        assert title in words(page)


def test_the_moves_are_shown_with_reasons_and_money_before_anything_changes(
    client, manager, planned  # noqa: F811
):  # fmt: skip
    sick = job_of(planned[0]).mechanic
    trial = reported(client, person=sick.username)
    assert trial.kind == Trial.Kind.MEND
    page = client.get(reverse("trial", args=[trial.pk]))
    assert answer(page).startswith(f"With {sick} away")
    for said in (planned[0].tag, "What it costs", "Accept these moves", "Leave the plan as it is"):
        assert said in words(page)
    assert all(move["why"] for move in trial.shown["moves"])
    assert not Absence.objects.exists()
    assert Plan.objects.get().number == 1


def test_accepting_writes_the_fact_and_the_plan_and_tells_whose_list_changed(
    client, manager, planned, shop  # noqa: F811
):  # fmt: skip
    sick = job_of(planned[0]).mechanic
    client.post(reverse("publish"), {"days": "14"})
    shop.releases.update(at=NOON - timedelta(hours=1))
    page = accept(client, reported(client, person=sick.username, reason="ill"))
    assert "the plan is mended" in words(page)
    row = Absence.objects.get()
    assert (row.person, row.first_day, row.reason, row.by) == (sick, TODAY, "ill", manager)
    assert job_of(planned[0]) is None or job_of(planned[0]).mechanic != sick
    assert shop.releases.count() == 2
    assert Notice.objects.filter(kind="changed", person=sick).exists()


def test_accepted_twice_is_once(client, manager, planned):  # noqa: F811
    trial = reported(client, person=job_of(planned[0]).mechanic.username)
    for _ in range(2):
        accept(client, trial)
    assert Absence.objects.count() == 1
    assert Plan.objects.get().number == 2


def test_leaving_it_changes_nothing(client, manager, planned):  # noqa: F811
    trial = reported(client, person=job_of(planned[0]).mechanic.username)
    client.post(reverse("trial-drop", args=[trial.pk]))
    assert not Absence.objects.exists()
    assert Plan.objects.get().number == 1


def test_a_mend_of_a_plan_that_has_changed_since_is_worked_out_again(
    client, manager, planned, bo  # noqa: F811
):  # fmt: skip
    trial = reported(client, person="ada")
    Absence.objects.create(person=bo, first_day=TODAY, last_day=TODAY)
    page = accept(client, trial)
    assert "nothing was published" in words(page)
    assert Absence.objects.count() == 1


def test_a_part_that_is_not_there_is_counted_so(client, manager, filter_part):  # noqa: F811
    accept(client, reported(client, "gone", part=filter_part.pk, left="0"))
    row = StockMovement.objects.latest("pk")
    assert (row.quantity, row.reason, row.by) == (-1, "count", manager)


def test_a_mechanic_says_that_they_are_away_and_of_nobody_else(
    client, manager, mechanic, bo  # noqa: F811
):  # fmt: skip
    client.force_login(mechanic)
    assert reported(client, person="ada").by == mechanic
    days = {"first": TODAY.isoformat(), "last": LAST}
    page = client.post(reverse("broke-mend", args=["away"]), days | {"person": "bo"})
    assert "yourself alone" in words(page)
    assert Trial.objects.count() == 1


def test_a_mechanic_accepts_what_moves_their_own_work_alone(
    client, manager, planned, mechanic, bo  # noqa: F811
):  # fmt: skip
    client.force_login(job_of(planned[0]).mechanic)
    key = key_of(planned[0], "oil")
    trial = reported(client, "longer", work=key, hours="2")
    Trial.objects.filter(pk=trial.pk).update(shown=trial.shown | {"moves": []})
    assert "the plan is mended" in words(accept(client, trial))
    other = reported(client, "longer", work=key, hours="3")
    theirs = {"day": LAST, "mechanic": "X", "account": "x"}
    move = {"tag": "M", "title": "T", "before": theirs, "after": None, "why": ""}
    Trial.objects.filter(pk=other.pk).update(shown=other.shown | {"moves": [move]})
    assert "the fleet manager has to accept it" in words(accept(client, other))


@pytest.mark.parametrize(
    ("what", "given", "sentence"),
    [
        ("away", {"person": "nobody"}, "Nobody of that name"),
        ("away", {"person": "ada", "last": "2026-01-01"}, "before the first"),
        ("gone", {"part": "999"}, "does not count that part"),
        ("back-late", {"booking": "999"}, "not out"),
        ("longer", {"work": "m:1:987654321"}, "no longer in the plan"),
        ("longer", {"hours": "0"}, "Say hours from"),
        ("bay", {"bays": "9"}, "say fewer"),
        ("broke-down", {"machine": "ZZ", "text": "x", "hours": "1"}, "has the tag “ZZ”"),
    ],
)
def test_what_cannot_be_gets_a_sentence(client, manager, what, given, sentence):
    days = {"first": TODAY.isoformat(), "last": LAST}
    page = client.post(reverse("broke-mend", args=[what]), days | given)
    assert page.status_code == 422
    assert sentence in words(page)
    assert not Trial.objects.exists()


def test_the_desk_and_other_ways_in_are_refused(client, manager, shop):  # noqa: F811
    assert client.get(reverse("broke-mend", args=["away"])).status_code == 405
    assert client.post(reverse("broke-mend", args=["moon"])).status_code == 404
    sign_in(client, Role.DESK, shop)
    assert client.get(reverse("broke")).status_code == 403


def test_without_a_shop_the_page_says_so(client):
    client.force_login(factories.Person(shop=None))
    assert answer(client.get(reverse("broke"))) == "No shop is set up yet."


def test_a_machine_that_broke_down_is_held_at_once_and_its_repair_comes_into_the_plan(
    client, manager, planned  # noqa: F811
):  # fmt: skip
    machine = planned[0]
    told = {"machine": machine.tag.lower(), "text": "no drive", "hours": "2", "form_key": "b1"}
    for _ in range(2):
        trial = reported(client, "broke-down", **told)
    finding = Finding.objects.get(text="no drive")
    assert (finding.machine, finding.gravity, finding.minutes) == (machine, "unsafe", 120)
    assert Hold.objects.get(released_at=None).finding == finding
    assert Trial.objects.filter(kind=Trial.Kind.MEND).exclude(by=None).count() == 1
    page = client.get(reverse("trial", args=[trial.pk]))
    assert answer(page).startswith(f"With {machine.tag} broken down")
    (move,) = [one for one in trial.shown["moves"] if one["before"] is None]
    assert (move["tag"], move["why"].split(".")[0]) == (machine.tag, "It is new to the plan")
    assert "the plan is mended" in words(accept(client, trial))
    assert PlannedWork.objects.get(finding=finding).job is not None


def test_a_bay_lost_is_a_loan_the_other_way_once_it_is_accepted(client, manager, shop):  # noqa: F811
    trial = reported(client, "bay", bays="1", reason="lift out of order")
    assert answer(client.get(reverse("trial", args=[trial.pk]))).startswith("With 1 bay lost")
    assert not BayLoan.objects.exists()
    accept(client, trial)
    row = BayLoan.objects.get()
    assert (row.shop, row.bays, row.first_day, row.note) == (shop, -1, TODAY, "lift out of order")


def test_the_reasons_of_a_day_away_name_what_hinders(client, manager, planned):  # noqa: F811
    """A full day that nothing fills is no reason, whatever the hours are."""
    trial = reported(client, person=job_of(planned[0]).mechanic.username)
    said = " ".join(move["why"] for move in trial.shown["moves"])
    assert "is not working that day" in said
    assert not re.search(r"has 0(\.0+)? of", said)
