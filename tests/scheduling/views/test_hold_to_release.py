"""E-07 is found unsafe at the bench, repaired, released, and free at the counter at once."""

import pytest
from django.test import Client
from django.urls import reverse

from fleet.models import Finding, Hold, Role, ServiceRecord
from fleet.work_keys import repair_key
from scheduling.models import Notice
from tests import factories
from tests.factories import TODAY
from tests.scheduling.counter_case import LAST, open_counter

pytestmark = pytest.mark.django_db(transaction=True)  # so that what follows a fact follows it
NONE, FREE = ": none may go, 1 held", ": 1 now"


@pytest.fixture
def case(client, monkeypatch):
    return open_counter(client, monkeypatch)


@pytest.fixture
def bench(case):
    """The browser of a mechanic of the same shop."""
    mechanic = factories.Mechanic(username="jo", first_name="Jo", shop=case.desk.shop)
    mechanic.qualifications.create(skill=factories.Skill(name="brakes"))
    browser = Client()
    browser.force_login(mechanic)
    return browser


def asked(client, case):
    days = {"first_day": TODAY.isoformat(), "last_day": LAST.isoformat()}
    kind = {"machine_class": case.machine.makeup.machine_class_id}
    return client.get(reverse("counter"), days | kind).content.decode()


def found_unsafe(bench, case):
    job = reverse("job", args=[case.machine.tag])
    seen = {"form_key": "a" * 32, "finding": "brakes pull to the left", "gravity": "unsafe"}
    bench.post(job, seen)
    finding = Finding.objects.get()
    Finding.objects.update(skill=factories.Skill(name="brakes"))
    return finding


def repaired(bench, case, finding):
    job = reverse("job", args=[case.machine.tag])
    done = {"form_key": "b" * 32, "done": [repair_key(finding.pk)], "reading_hours": "101"}
    return bench.post(job, done | {"note": "new pads", "minutes": "50"})


def test_held_repaired_released_free_at_the_counter_with_name_and_note(client, case, bench):
    assert FREE in asked(client, case)
    finding = found_unsafe(bench, case)
    assert NONE in asked(client, case)
    hold = Hold.objects.get()
    assert "finish its repair" in bench.get(reverse("bench")).content.decode()

    answer = repaired(bench, case, finding)
    assert answer.url == reverse("safe-to-release", args=["Q-1"])
    question = bench.get(answer.url).content.decode()
    assert "Safe to release?" in question
    assert 'value="new pads"' in question
    assert NONE in asked(client, case)

    release = reverse("release-hold", args=[hold.pk])
    for note in ("new pads, road test good", "pressed again"):
        bench.post(release, {"note": note, "back": "bench"})
    assert FREE in asked(client, case)
    page = client.get(reverse("machine", args=["Q-1"])).content.decode()
    assert "by Jo: new pads, road test good" in page
    assert ServiceRecord.objects.count() == 1


def test_desk_and_manager_hear_of_both_ends_and_the_mechanic_who_did_it_does_not(case, bench):
    manager = factories.Person(username="mara", shop=case.desk.shop)
    finding = found_unsafe(bench, case)
    repaired(bench, case, finding)
    bench.post(reverse("release-hold", args=[Hold.objects.get().pk]), {"note": "new pads"})
    heard = Notice.objects.values_list("person__username", "subject").order_by("pk")
    for who in (case.desk, manager):
        assert [subject for name, subject in heard if name == who.username] == [
            "Q-1 held: brakes pull to the left",
            "Q-1 released: new pads",
        ]
    assert "jo" not in dict(heard)


def test_not_yet_leaves_it_held(client, case, bench):
    repaired(bench, case, found_unsafe(bench, case))
    question = bench.get(reverse("safe-to-release", args=["Q-1"])).content.decode()
    assert f'href="{reverse("bench")}">Not yet' in question
    assert NONE in asked(client, case)
    assert Hold.objects.get().released_at is None


def test_a_job_on_a_machine_that_nothing_holds_asks_nothing(case, bench):
    finding = factories.Finding(machine=case.machine)
    assert "safe-to-release" not in repaired(bench, case, finding).url


@pytest.mark.parametrize("role", [Role.DESK, Role.MANAGER])
def test_a_hold_hung_on_the_machines_page_bars_it_at_once(client, case, role):
    person = factories.Person(role=role, shop=case.desk.shop)
    other = Client()
    other.force_login(person)
    page = reverse("hold-machine", args=["Q-1"])
    assert page in other.get(reverse("machine", args=["Q-1"])).content.decode()
    typed = {"reason": "for the fair", "condition": "fair is over", "owner": person.pk}
    for _ in range(2):
        other.post(page, typed)
    assert NONE in asked(client, case)
    hold = Hold.objects.get()
    assert (hold.decided_by, hold.condition) == (person, "fair is over")
