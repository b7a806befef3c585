"""Every page that a mechanic, a hand and a label show, opened by a mechanic who reads Spanish."""

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from fleet.models import Person, Tongue
from fleet.tongues.both_languages import PAGES
from tests import every_page
from tests.fleet.tongues.english_left import english_in
from tests.made_fleet import make_fleet

pytestmark = pytest.mark.django_db
TYPED = ("brakes pull to the left", "Drain the oil")
"""What people of the made shop have typed: it is shown as they typed it."""


def opened(made, language, role="mechanic"):
    """Return address -> page, of all that shows a page to this person."""
    who = made.people[role]
    Person.objects.filter(pk=who.pk).update(language=language)
    client = Client(SERVER_NAME="127.0.0.1")
    client.force_login(who, "django.contrib.auth.backends.ModelBackend")
    found = {}
    for page in every_page.pages():
        if page.name in PAGES and not page.is_sheet:
            for arguments in page.examples:
                answer = client.get(reverse(page.called, kwargs=arguments))
                if answer.status_code == 200 and answer["Content-Type"].startswith("text/html"):
                    text = answer.text
                    for typed in TYPED:
                        text = text.replace(typed, "")
                    found[answer.request["PATH_INFO"]] = text
    return found


def test_a_mechanic_who_reads_spanish_finds_no_english():
    pages = opened(make_fleet(timezone.now(), "Zz"), Tongue.SPANISH)
    wanted = {"/bench/", "/bench/paper/", "/machines/", "/shop-days/broke/", "/calendar/"}
    assert {"/meter-round/", *wanted} <= set(pages)
    assert {a for a, page in pages.items() if '<html lang="es">' not in page} == set()
    left = {address: english_in(page) for address, page in pages.items()}
    assert {address: said for address, said in left.items() if said} == {}


def test_english_is_found_where_it_is():
    assert english_in("<p>Rojo.</p><p>Some of it is left.</p>") == ["Some of it is left."]
    assert english_in("<button aria-label='Open the sheet'>Abrir</button>") == ["Open the sheet"]
    assert english_in("<p>Faltan 2 h 15 min del trabajo en Q-07.</p>") == []
