"""An empty site asks for the first account, which is a manager's; later nobody can make one so."""

import pytest
from django.core.management import call_command
from django.urls import reverse

from fleet.actions.make_first_account import FirstAccount, make_first_account
from fleet.models import Person, Role
from fleet.refusal import Refusal
from tests import factories
from tests.pages import answer, words

pytestmark = pytest.mark.django_db

TYPED = {
    "username": "ada", "email": "", "password": "long grass 9", "again": "long grass 9",
}  # fmt: skip
URL = reverse("first-run")


def test_an_empty_site_leads_to_the_first_account(client):
    page = client.get("/", follow=True)
    assert page.redirect_chain[-1][0] == URL
    assert answer(page) == "Nobody has an account here yet: make yours."


def test_it_is_an_owners_and_leads_on_to_the_first_steps(client):
    page = client.post(URL, TYPED, follow=True)
    person = Person.objects.get()
    assert (person.role, person.manages, person.is_superuser) == (Role.OWNER, True, False)
    assert person.check_password("long grass 9")
    assert answer(page) == "0 of 8 steps are done. Next: shop and its hours."


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"username": ""}, "Write the name"),
        ({"again": "something else 1"}, "not the same"),
        ({"password": "12345", "again": "12345"}, "too short"),
        ({"password": "", "again": ""}, "Write a password"),
        ({"email": "nowhere"}, "valid email"),
    ],
)
def test_what_cannot_be_is_said(client, fields, said):
    assert said in words(client.post(URL, TYPED | fields))
    assert not Person.objects.exists()


def test_once_somebody_is_there_it_is_closed(client):
    factories.Person(username="ada")
    for page in (client.get(URL), client.post(URL, TYPED | {"username": "eve"})):
        assert page.url == reverse("sign-in")
    with pytest.raises(Refusal, match="an account already"):
        make_first_account(FirstAccount("eve", "long grass 9"))
    assert not Person.objects.filter(username="eve").exists()
    assert client.get(reverse("sign-in")).status_code == 200


def test_who_is_made_behind_the_command_manages_too(monkeypatch):
    monkeypatch.setenv("DJANGO_SUPERUSER_PASSWORD", "long grass 9")
    call_command("createsuperuser", username="ada", email="", interactive=False, verbosity=0)
    person = Person.objects.get()
    assert (person.role, person.is_superuser) == (Role.OWNER, True)
