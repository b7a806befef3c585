"""The questions to a make-up's manual."""

import pytest
from django.urls import reverse

from fleet.actions.take_procedures import take_procedures
from fleet.models import Limit, Role
from fleet.procedures.library import procedure_called
from tests import factories as make
from tests.factories import NOON

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(client):
    boss = make.Person()
    client.force_login(boss)
    take_procedures([procedure_called("quad-basic")], by=boss, now=NOON)
    makeup = make.MakeUp(machine_class__name="Quad", manual="shelf 3")
    return makeup, reverse("manual", args=[makeup.pk])


def lining():
    return Limit.objects.get(name="front brake lining", makeup=None).pk


def test_what_the_steps_ask_for_is_asked_for(client, page):
    _, address = page
    words = client.get(address).content.decode()
    assert "Front brakes" in words
    assert "Drain cap torque" in words
    assert "Front brake lining: at least, mm" in words
    assert "Engine oil" in words  # the make-up does not hold it yet
    assert "shelf 3" in words


def test_what_is_typed_is_kept_with_its_page(client, page):
    makeup, address = page
    typed = {
        "trait-front-brakes": "drum", f"limit-{lining()}-low": "1.0",
        f"limit-{lining()}-page": "p. 30", "figure-0": "25 N·m", "figure-0-page": "p. 12",
    }  # fmt: skip
    answer = client.post(address, typed, follow=True)
    assert "3 answers kept" in answer.content.decode()
    makeup.refresh_from_db()
    assert makeup.traits == {"front-brakes": "drum"}
    figure = makeup.figures.get()
    assert (figure.value, figure.unit, figure.source) == (25, "N·m", "p. 12")
    assert Limit.objects.get(makeup=makeup).low == 1.0
    assert "Discs" not in client.get(address).content.decode()


@pytest.mark.parametrize(
    ("typed", "says"), [("thick", "is not a number"), ("-1", "cannot be"), ("380", "cannot be")]
)
def test_a_bound_that_cannot_be_is_refused_at_its_place(client, page, typed, says):
    makeup, address = page
    words = client.post(address, {f"limit-{lining()}-low": typed}).content.decode()
    assert says in words
    assert not Limit.objects.filter(makeup=makeup).exists()


def test_a_mechanic_does_not_set_it_up(client, page):
    client.force_login(make.Person(role=Role.MECHANIC))
    assert client.get(page[1]).status_code == 403
