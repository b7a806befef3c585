"""The pages of the library: taking procedures, what is said anew, and who may."""

import pytest
from django.urls import reverse

from fleet.actions.take_procedures import take_procedures
from fleet.models import LibraryCopy, Role, Service
from fleet.procedures.library import procedure_called
from tests import factories as make
from tests.factories import NOON

pytestmark = pytest.mark.django_db
PAGE = "/set-up/procedures/"


@pytest.fixture
def boss(client):
    person = make.Person()
    client.force_login(person)
    return person


def test_the_classes_of_the_shop_come_first_and_are_ticked(client, boss):
    make.MachineClass(name="Quad")
    page = client.get(PAGE).content.decode()
    assert "The library has procedures for Quad" in page
    assert page.index(">Quad</h2>") < page.index(">Boom lift</h2>")
    assert page.count(" checked") == 6


def test_what_is_ticked_becomes_a_service_of_the_shop(client, boss):
    answer = client.post(PAGE, {"take": ["quad-basic", "trailer-yearly", "no-such"]}, follow=True)
    assert "2 procedures taken" in answer.content.decode()
    taken = Service.objects.exclude(library_copy=None)
    assert set(taken.values_list("name", flat=True)) == {
        "Quad: basic service", "Trailer: yearly service"
    }  # fmt: skip
    again = client.post(PAGE, {"take": ["quad-basic"]}, follow=True).content.decode()
    assert "Nothing was ticked that you do not have already" in again


def older(boss):
    take_procedures([procedure_called("trailer-return")], by=boss, now=NOON)
    copy = LibraryCopy.objects.get()
    copy.digest, copy.body = "older", {**copy.body, "minutes": 5}
    copy.save()
    Service.objects.update(minutes=5)
    return copy


def test_a_change_of_the_library_is_offered_and_taken(client, boss):
    copy = older(boss)
    assert "has changed 1 of your procedures" in client.get(PAGE).content.decode()
    address = reverse("procedure-offered", args=[copy.service_id])
    page = client.get(address).content.decode()
    assert "As you took it" in page
    client.post(address, {"take": ["head:minutes"]})
    assert Service.objects.get().minutes == procedure_called("trailer-return").minutes


def test_a_change_of_the_library_can_be_left(client, boss):
    copy = older(boss)
    client.post(reverse("procedure-offered", args=[copy.service_id]), {"act": "leave"})
    assert Service.objects.get().minutes == 5
    assert "has changed" not in client.get(PAGE).content.decode()


@pytest.mark.parametrize("role", [Role.DESK, Role.MECHANIC])
def test_only_a_manager_sets_procedures_up(client, role):
    client.force_login(make.Person(role=role))
    assert client.get(PAGE).status_code == 403
    assert client.post(PAGE, {"take": ["quad-basic"]}).status_code == 403
    assert not Service.objects.exists()


def test_what_was_never_taken_has_no_offer(client, boss):
    service = make.Service()
    assert client.get(reverse("procedure-offered", args=[service.pk])).status_code == 404


def test_a_procedure_that_the_library_dropped_stays_the_shops(client, boss):
    copy = older(boss)
    LibraryCopy.objects.update(code="trailer-at-sea")
    address = reverse("procedure-offered", args=[copy.service_id])
    assert "has nothing new for this procedure" in client.get(address).content.decode()
    answer = client.post(address, {"take": ["head:minutes"]}, follow=True).content.decode()
    assert "yours stays as it is" in answer
    assert Service.objects.get().minutes == 5
