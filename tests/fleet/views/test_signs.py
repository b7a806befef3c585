"""Signing in, and the pages that say in plain words that something is not there."""

import pytest
from django.test import Client
from django.urls import reverse

from fleet.sign_in_waits import SHUT_AFTER
from tests import factories
from tests.pages import answer, sign_in, words

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("role", "home"), [("manager", "yard"), ("desk", "counter"), ("mechanic", "bench")]
)
def test_each_person_lands_on_their_own_page(client, role, home):
    person = factories.Person(role=role)
    person.set_password("tin roof rain")
    person.save()
    response = client.post(
        reverse("sign-in"), {"username": person.username, "password": "tin roof rain"}, follow=True
    )
    assert response.request["PATH_INFO"] == reverse(home)


def test_a_wrong_password_is_said_above_the_form_and_the_name_is_kept(client):
    response = client.post(reverse("sign-in"), {"username": "ana", "password": "wrong"})
    html = response.content.decode()
    assert 'role="alert"' in html
    assert 'value="ana"' in html
    assert "No account has this name and password." in html
    empty = words(client.post(reverse("sign-in"), {}))
    assert "Name: Write your name." in empty
    assert "Password: Write your password." in empty


def test_after_ten_wrong_passwords_it_says_how_long_to_wait(client, settings):
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    for _ in range(SHUT_AFTER):
        response = client.post(reverse("sign-in"), {"username": "ana", "password": "wrong"})
    assert response.status_code == 429
    assert answer(response) == "Too many wrong passwords or codes: wait a quarter of an hour."


def test_an_address_that_is_not_there_is_said_plainly(client):
    sign_in(client)
    response = client.get("/no/such/page/")
    assert response.status_code == 404
    assert answer(response) == "There is no such page here."


def test_a_form_that_is_too_old_is_said_plainly():
    client = Client(enforce_csrf_checks=True)
    response = client.post(reverse("sign-in"), {"username": "ana", "password": "x"})
    assert response.status_code == 403
    assert answer(response).startswith("Nothing was stored")


def test_a_failure_of_the_site_is_said_plainly_and_needs_nothing(client, rf):
    from django.views.defaults import server_error  # noqa: PLC0415

    response = server_error(rf.get("/"))
    assert response.status_code == 500
    assert answer(response) == "The site failed on this page. What was stored before is safe."


def test_the_menu_shows_what_is_theirs_and_where_they_are(client):
    sign_in(client, "mechanic")
    html = client.get(reverse("machines")).content.decode()
    assert reverse("yard") not in html
    assert f'<a href="{reverse("machines")}" aria-current="page">Machines</a>' in html


def test_every_page_has_a_skip_link_landmarks_and_one_heading_of_first_order(client):
    sign_in(client)
    html = client.get(reverse("machines")).content.decode()
    assert '<a class="skip" href="#main">' in html
    assert html.count("<main ") == html.count("<h1") == 1


def test_nothing_is_inline_and_nothing_comes_from_another_host(client):
    sign_in(client)
    response = client.get(reverse("machines"))
    html = response.content.decode()
    assert " style=" not in html
    assert "<style" not in html
    assert "onclick" not in html
    assert "<script>" not in html
    assert "//" not in html.replace("http://www.w3.org/2000/svg", "").replace("<!--", "")
    assert "default-src 'self'" in response["Content-Security-Policy"]


def test_words_says_what_a_page_says(client):
    sign_in(client)
    assert "Skip to the page" in words(client.get(reverse("machines")))
