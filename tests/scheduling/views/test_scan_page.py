"""Before the machine with a phone: its label leads to a reading, its needs, what is wrong."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from fleet.models import Act, Finding, Hold, Reading
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def machine():
    machine = factories.Machine(tag="Q-07")
    meter = factories.Meter(machine=machine, kind="hours", fitted_at=timezone.now() - timedelta(99))
    factories.Reading(meter=meter, value=100, read_at=timezone.now() - timedelta(days=7))
    return machine


@pytest.fixture
def signed_in(client, machine):
    client.force_login(factories.Person(shop=machine.yard.shop, role="mechanic"))
    return client


def address(machine):
    return reverse("scan", args=[machine.pk])


def meter_of(machine):
    return machine.meters.get()


def test_a_reading_is_taken_and_a_second_press_adds_nothing(signed_in, machine):
    sent = {f"value-{meter_of(machine).pk}": "112.5", "key": "one form"}
    for _ in range(2):
        assert signed_in.post(address(machine), sent).status_code == 302
    assert list(Reading.objects.filter(value=112.5).values_list("source", flat=True)) == ["round"]


def test_an_odd_reading_is_asked_about_and_kept_in_its_field(signed_in, machine):
    text = signed_in.post(address(machine), {f"value-{meter_of(machine).pk}": "11.2"})
    said = text.content.decode()
    assert 'value="11.2"' in said
    assert "It rolled over" in said or "The meter was swapped" in said
    assert Reading.objects.count() == 1


def test_what_is_wrong_becomes_a_finding_once(signed_in, machine):
    sent = {"what": "It leaks", "gravity": "defect", "more": "left rear", "form_key": "k1"}
    for _ in range(2):
        signed_in.post(reverse("scan-wrong", args=[machine.pk]), sent)
    finding = Finding.objects.get()
    assert (finding.text, finding.gravity) == ("It leaks: left rear", "defect")
    assert not Hold.objects.exists()


def test_not_safe_holds_it_and_the_page_says_so(signed_in, machine):
    sent = {"what": "Brakes", "gravity": "unsafe", "form_key": "k2"}
    text = signed_in.post(reverse("scan-wrong", args=[machine.pk]), sent, follow=True)
    assert Hold.objects.get(released_at=None).machine == machine
    assert "is held: nobody takes it out" in text.content.decode()


@pytest.mark.parametrize(
    ("sent", "said"),
    [({"gravity": "note"}, "Press what is wrong"),
     ({"what": "Something else", "gravity": "note"}, "Say in a few words what is wrong."),
     ({"what": "Brakes"}, "Say whether it can be used.")],
)  # fmt: skip
def test_what_is_not_said_is_asked_for(signed_in, machine, sent, said):
    text = signed_in.post(reverse("scan-wrong", args=[machine.pk]), sent | {"form_key": "k"})
    assert said in text.content.decode()
    assert not Finding.objects.exists()


def test_the_number_of_one_that_was_merged_leads_to_the_one_that_stays(signed_in, machine):
    gone = factories.Machine(yard=machine.yard, merged_into=machine)
    assert signed_in.get(address(gone)).headers["Location"] == address(machine)


def test_another_shop_does_not_see_it(client, machine):
    client.force_login(factories.Person(shop=factories.Shop(), role="mechanic"))
    assert client.get(address(machine)).status_code == 404


def test_a_mechanic_gets_the_sheet_and_the_desk_the_counter(client, machine):
    seen = {}
    for role in ("mechanic", "desk"):
        client.force_login(factories.Person(shop=machine.yard.shop, role=role))
        seen[role] = client.get(address(machine)).content.decode()
    job = reverse("job", args=[machine.tag])
    assert job in seen["mechanic"]
    assert job not in seen["desk"]


def test_queries_are_few_and_do_not_grow(signed_in, machine, django_assert_max_num_queries):
    factories.Machine.create_batch(5, yard=machine.yard)
    with django_assert_max_num_queries(20):
        signed_in.get(address(machine))


def test_what_is_not_safe_by_a_slip_of_the_thumb_is_undone_by_whoever_said_it(client, machine):
    hand = factories.Person(shop=machine.yard.shop, role="hand")
    client.force_login(hand)
    client.post(address(machine), {f"value-{meter_of(machine).pk}": "112.5", "key": "one form"})
    sent = {"what": "Brakes", "gravity": "unsafe", "more": "", "form_key": "k1"}
    page = client.post(reverse("scan-wrong", args=[machine.pk]), sent, follow=True)
    assert "Undo the finding on Q-07" in " ".join(page.text.split())
    client.post(reverse("undo", args=[Act.objects.first().pk]))
    assert Finding.objects.get().struck
    assert not Hold.objects.filter(released_at=None).exists()
    assert Reading.objects.filter(value=112.5).exists()  # the reading stays, and can be undone next
