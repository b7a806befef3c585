"""A form that is sent twice acts once, and both presses hear the same."""

import re
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from pathlib import Path
from threading import Barrier

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from fleet.actions import press_once
from fleet.actions.press_once import KEPT, KEY_FIELD, forget_presses
from fleet.models import Finding, Hold, Press, Release, ServiceRecord
from scheduling.models import PlannedWork
from tests import consequences, factories
from tests.complete_shop import complete
from tests.factories import NOON, TODAY
from tests.scheduling.busy_yard import SMALL, busy_yard

ROOT = Path(__file__).resolve().parents[2]
FORM = re.compile(r'<form\b[^>]*\bmethod="post".*?</form>', re.DOTALL | re.IGNORECASE)
WITHOUT = {"letter_stop.html": "RFC 8058: posted signed out; stopping twice is stopping once"}
"""Template -> why its form needs no key."""
PRESSES = 8


@pytest.fixture
def held(client, db):
    """A machine that a desk may hold, at its page."""
    machine = factories.Machine(tag="MX-1")
    person = factories.Person(shop=machine.yard.shop, first_name="Mara")
    client.force_login(person)
    HANG["owner"] = person.pk
    return reverse("hold-machine", args=["MX-1"])


HANG = {"reason": "brakes pull to the left"}


@pytest.mark.parametrize("file", sorted((ROOT / "templates").rglob("*.html")), ids=lambda f: f.name)
def test_every_form_that_posts_carries_a_key(file):
    """The key comes with the token of `{% csrf_token %}`, so no form may do without that tag."""
    for form in FORM.findall(file.read_text() if file.name not in WITHOUT else ""):
        assert "{% csrf_token %}" in form, form[:200]


def test_each_form_on_a_page_has_a_key_of_its_own(client, held):
    pages = client.get(held).text, client.get(held).text
    keys = [re.findall(rf'name="{KEY_FIELD}" value="(\w+)"', page) for page in pages]
    assert all(len(found) == len(set(found)) > 0 for found in keys)
    assert not set(keys[0]) & set(keys[1])


def test_the_second_press_acts_no_more_and_hears_the_same(client, held):
    sent = HANG | {KEY_FIELD: "k1"}
    first, second = client.post(held, sent), client.post(held, sent)
    assert (first.status_code, first.url) == (second.status_code, second.url)
    assert Hold.objects.count() == 1
    said = [str(one) for one in second.wsgi_request._messages]
    assert said[: len(said) // 2] == said[len(said) // 2 :] != []


def test_what_was_refused_is_tried_again_with_the_same_key(client, held):
    assert client.post(held, {"reason": "", KEY_FIELD: "k1"}).status_code == 200
    assert not Press.objects.exists()
    client.post(held, HANG | {KEY_FIELD: "k1"})
    assert Hold.objects.count() == 1


def test_a_key_is_ones_own(client, held):
    client.post(held, HANG | {KEY_FIELD: "k1"})
    other = Client()
    other.force_login(factories.Person(shop=Hold.objects.get().machine.yard.shop))
    other.post(held, HANG | {KEY_FIELD: "k1"})
    assert Press.objects.count() == 2


def test_a_press_that_was_cut_off_is_not_done_again_by_itself(client, held, monkeypatch):
    monkeypatch.setattr(press_once, "PATIENCE", timedelta(seconds=0.2))
    client.post(held, HANG | {KEY_FIELD: "k1"})
    Press.objects.update(answered_at=None)
    page = client.post(held, HANG | {KEY_FIELD: "k1"})
    assert page.status_code == 409
    assert "Look whether it was done" in page.text
    assert Hold.objects.count() == 1


def test_a_page_that_breaks_leaves_no_key(client, held, monkeypatch):
    client.raise_request_exception = False
    monkeypatch.setattr("fleet.views.hold_pages.signed_in", lambda request: 1 / 0)
    assert client.post(held, HANG | {KEY_FIELD: "k1"}).status_code == 500
    assert not Press.objects.exists()


def test_keys_are_forgotten_when_nobody_can_press_any_more(client, held):
    client.post(held, HANG | {KEY_FIELD: "k1"})
    at = Press.objects.get().at
    assert (forget_presses(at + KEPT), forget_presses(at + KEPT * 1.01)) == (0, 1)


def _at_once(person, address, sent, key="one press"):
    """Let one form be sent by eight threads at the same moment; return their answers."""
    gate = Barrier(PRESSES)

    def press(_):
        client = Client(raise_request_exception=False)
        client.force_login(person)
        gate.wait(60)
        try:
            return client.post(address, sent | {KEY_FIELD: key})
        finally:
            connection.close()

    with ThreadPoolExecutor(PRESSES) as pool:
        return list(pool.map(press, range(PRESSES)))


def _all_heard_the_same(pages):
    assert {(page.status_code, page.headers.get("Location")) for page in pages} == {
        (302, pages[0].url)
    }


@pytest.mark.django_db(transaction=True)
def test_eight_presses_at_once_finish_one_job(monkeypatch):
    yard = busy_yard(SMALL)
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    before = ServiceRecord.objects.count()
    done = yard.planned("oil", "check")
    typed = {
        "form_key": "a" * 32, "done": done, "minutes": "50", "reading_distance": "330",
        "reading_hours": f"{yard.last_value + 4}", "finding": "hose chafed", "gravity": "defect",
    }  # fmt: skip
    _all_heard_the_same(
        _at_once(yard.mechanic, f"{reverse('job', args=[yard.machine.tag])}?day={TODAY}", typed)
    )
    assert ServiceRecord.objects.count() - before == len(done)
    assert Finding.objects.filter(text="hose chafed").count() == 1


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("key", ["one press", ""])
def test_eight_presses_at_once_publish_one_plan(monkeypatch, key):
    """Eight people who publish the same, each by a form of their own, publish it once too."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    shop = factories.Shop()
    machine = complete(shop)
    plan = consequences.Plan(shop=shop, made_at=NOON, first_day=TODAY)
    job = consequences.PlannedJob(
        plan=plan, machine=machine, mechanic=shop.people.get(), day=TODAY + timedelta(days=1)
    )
    consequences.PlannedWork(job=job, service=machine.makeup.intervals.get().service)
    boss = factories.Person(shop=shop)
    _all_heard_the_same(_at_once(boss, reverse("publish"), {"days": "7"}, key))
    assert Release.objects.count() == 1
    assert PlannedWork.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_eight_presses_at_once_note_one_finding_at_check_out(monkeypatch):
    yard = busy_yard(SMALL)
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    typed = {
        "form_key": "k1", "reading_hours": f"{yard.last_value + 4}", "reading_distance": "330",
        "unsafe": "on", "unsafe_text": "brakes fail",
    }  # fmt: skip
    pages = _at_once(yard.desk, reverse("check-out", args=[yard.booking.pk]), typed)
    assert {page.status_code for page in pages} <= {200, 302, 422}
    assert Finding.objects.filter(text="brakes fail").count() == 1
    assert Hold.objects.count() == 1
