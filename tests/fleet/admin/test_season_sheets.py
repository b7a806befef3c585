"""The sheet of seasons."""

import pytest
from django.urls import reverse

from fleet.models import Role, SeasonWeight
from tests import factories

pytestmark = pytest.mark.django_db


def add(client, **fields):
    client.force_login(factories.Person(role=Role.OWNER))
    form = {"reason": "calving", "weight": "2", "first_month": "2", "first_day": "10",
            "last_month": "4", "last_day": "20", "yard": "", "machine_class": "",
            "makeup": ""}  # fmt: skip
    return client.post(reverse("sheets:fleet_seasonweight_add"), {**form, **fields})


def test_a_new_season_tells_the_machines_that_it_means(client, told):
    mine = factories.Machine()
    factories.Machine()
    add(client, yard=mine.yard_id, machine_class=mine.makeup.machine_class_id)
    assert SeasonWeight.objects.get().reason == "calving"
    assert told == {mine.pk}


def test_a_day_that_no_year_has_is_refused_beside_its_field(client, told):
    response = add(client, last_month="2", last_day="30")
    assert b"February has no day 30" in response.content
    assert not SeasonWeight.objects.exists()


def test_the_list_says_from_when_to_when(client):
    add(client)
    page = client.get(reverse("sheets:fleet_seasonweight_changelist"))
    assert b"10 Feb" in page.content
    assert b"20 Apr" in page.content
