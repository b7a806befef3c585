"""A session that runs out while something is typed: what was typed is sent after the sign-in."""

import re
from html import unescape

import pytest
from django.test import Client
from django.urls import reverse

from fleet.models import Booking
from tests.factories import TODAY
from tests.scheduling.counter_case import open_counter

pytestmark = pytest.mark.django_db
PASSWORD = "gate-left-open"


@pytest.fixture
def case(client, monkeypatch):
    case = open_counter(client, monkeypatch)
    case.desk.set_password(PASSWORD)
    case.desk.save()
    client.logout()
    return case


def typed(**more):
    days = {"first_day": str(TODAY), "last_day": str(TODAY)}
    return {"customer": "Two Pines", "note": "call\nbefore", "form_key": "k1", **days, **more}


def hidden(page):
    found = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', page.text)
    return {unescape(name): unescape(said) for name, said in found}


def send(client, **more):
    return client.post(reverse("counter-book", args=["Q-1"]) + "?x=1", typed(**more))


def sign_in(client, case, page, password=PASSWORD):
    who = {"username": case.desk.username, "password": password}
    return client.post(reverse("sign-in"), who | {"typed": hidden(page)["typed"]})


def test_who_is_signed_out_is_asked_to_sign_in_and_told_that_it_is_kept(case, client):
    page = send(client)
    assert "What you typed is kept" in page.text
    assert f'action="{reverse("sign-in")}"' in page.text
    assert not Booking.objects.filter(customer="Two Pines").exists()


def test_signed_in_one_press_sends_what_was_typed(case, client):
    answer = sign_in(client, case, send(client))
    assert answer.url == reverse("typed-before")
    page = client.get(answer.url)
    form = re.search(r'action="([^"]+)" data-typed', page.text)[1]
    fields = hidden(page)
    assert {name: fields[name] for name in typed()} == typed()
    assert client.post(form, fields).status_code == 302
    assert Booking.objects.filter(customer="Two Pines").count() == 1


def test_a_wrong_password_loses_nothing(case, client):
    again = sign_in(client, case, send(client), "wrong")
    assert sign_in(client, case, again).url == reverse("typed-before")


def test_what_we_did_not_write_is_not_read(case, client):
    page = send(client)
    who = {"username": case.desk.username, "password": PASSWORD}
    forged = hidden(page)["typed"][:-3] + "abc"
    answer = client.post(reverse("sign-in"), who | {"typed": forged})
    assert answer.url != reverse("typed-before")
    assert client.get(reverse("typed-before")).url == reverse("home")


def test_a_page_of_another_site_puts_no_words_into_anybodys_mouth(case):
    """A check-out is exempt until its size is known; what it carries is looked at all the same."""
    strict = Client(enforce_csrf_checks=True)
    address = reverse("check-out", args=[case.booking().pk])
    answer = strict.post(address, typed())
    assert answer.status_code == 302
    assert answer.url.startswith(reverse("sign-in"))


@pytest.mark.parametrize(
    ("field", "headers"),
    [
        ({"password": "x"}, {}),  # a password is carried nowhere
        ({}, {"HX-Request": "true"}),  # a line drawn anew is no page
        ({}, {"Sec-Fetch-Dest": "empty"}),  # a phone sends again by itself
    ],
)
def test_what_is_not_carried_leads_to_the_sign_in_as_ever(case, client, field, headers):
    address = reverse("counter-book", args=["Q-1"])
    answer = client.post(address, typed(**field), headers=headers)
    assert answer.status_code == 302
    assert answer.url.startswith(reverse("sign-in"))
