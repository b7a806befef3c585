"""The sheet of a machine: what cannot be is refused, what is odd asked about once."""

import pytest
from django.urls import reverse

from fleet.models import Machine
from tests import factories
from tests.pages import sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def sent(client):
    sign_in(client, "owner")
    makeup = factories.MakeUp(first_year=2018, last_year=2022)
    yard = factories.Yard()

    def send(**fields):
        rows = {
            f"{name}-{which}": "0"
            for name in ("meters", "alterations", "storages")
            for which in ("TOTAL_FORMS", "INITIAL_FORMS")
        }
        filled = {"tag": "MX-9", "serial": "X1", "makeup": makeup.pk, "yard": yard.pk}
        filled |= {"duty_factor": "1", "year": "2020"} | fields | rows
        return client.post(reverse("sheets:fleet_machine_add"), filled)

    return send


def test_a_machine_as_it_can_be_is_saved(sent):
    assert sent().status_code == 302
    assert Machine.objects.get().year == 2020


def test_a_year_outside_the_make_up_is_asked_about_once(sent):
    assert "this says 2024. Is it really so?" in sent(year="2024").text
    assert sent(year="2024", really_so="on").status_code == 302


def test_a_year_that_cannot_be_is_refused_whatever_is_said(sent):
    assert "cannot be a model year" in sent(year="1066", really_so="on").text
    assert not Machine.objects.exists()


def test_the_serial_of_another_is_refused_until_the_plates_were_looked_at(sent):
    factories.Machine(tag="MX-02", serial="x-1")
    assert "MX-02 has the serial x-1 already" in sent().text
    assert sent(serial_shared="on").status_code == 302


def test_a_day_rate_below_zero_is_refused(sent):
    assert "never below zero" in sent(day_rate="-5").text
