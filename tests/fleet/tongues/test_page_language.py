"""Each person's own language, else the browser's; a page is never half in each."""

import pytest
from django.conf import settings
from django.urls import reverse
from django.utils.translation import get_language

from fleet.models import LoggedChange, Role, Tongue
from tests import factories

pytestmark = pytest.mark.django_db
SIGN_IN, CHOOSE = reverse("sign-in"), reverse("choose-language")


@pytest.fixture
def mechanic():
    return factories.Mechanic()


def test_the_browser_is_answered_in_its_language(client, mechanic):
    page = client.get(SIGN_IN, headers={"accept-language": "es-MX,es;q=0.9,en;q=0.5"})
    assert '<html lang="es">' in page.text
    assert "Cada máquina atendida antes de salir." in page.text
    assert page.headers["Content-Language"] == "es"
    assert "Every machine looked after" in client.get(SIGN_IN).text


def test_a_language_that_the_site_does_not_have_is_english(client, mechanic):
    assert '<html lang="en">' in client.get(SIGN_IN, headers={"accept-language": "fr"}).text


def test_what_runs_next_on_the_thread_is_english(client, mechanic):
    client.get(SIGN_IN, headers={"accept-language": "es"})
    assert get_language() == "en"


def test_it_is_chosen_before_signing_in(client, mechanic):
    answer = client.post(CHOOSE, {"language": "es", "next": SIGN_IN})
    assert answer.headers["Location"] == SIGN_IN
    assert "Entrar" in client.get(SIGN_IN).text


def test_a_person_keeps_it_and_the_log_tells(client, mechanic):
    client.force_login(mechanic)
    client.post(CHOOSE, {"language": "es"})
    client.post(CHOOSE, {"language": "es"})
    mechanic.refresh_from_db()
    assert mechanic.language == Tongue.SPANISH
    change = LoggedChange.objects.get(kind="person", subject_id=mechanic.pk)
    assert change.values == [{"field": "language", "old": "", "new": "Español"}]


def test_the_person_comes_before_the_browser(client, mechanic):
    mechanic.language = Tongue.SPANISH
    mechanic.save(update_fields=["language"])
    client.force_login(mechanic)
    client.cookies[settings.LANGUAGE_COOKIE_NAME] = "en"
    page = client.get("/no/such/page/", headers={"accept-language": "en"})
    assert page.status_code == 404
    assert "No hay nada en esta dirección" in page.text


def test_what_is_not_for_a_mechanic_is_refused_in_their_language(client, mechanic):
    mechanic.language = Tongue.SPANISH
    mechanic.save(update_fields=["language"])
    client.force_login(mechanic)
    page = client.get(reverse("yard"))
    assert page.status_code == 403
    assert "Esta página" in page.text


def test_a_page_of_others_and_a_table_for_programs_are_english(client):
    boss = factories.Person(role=Role.MANAGER, language=Tongue.SPANISH)
    client.force_login(boss)
    assert '<html lang="en">' in client.get(reverse("set-up")).text
    assert '<html lang="es">' in client.get(reverse("machines")).text
    assert "machine,serial,class" in client.get(reverse("machines-file", args=["csv"])).text


@pytest.mark.parametrize("said", [{"language": "xx"}, {}])
def test_no_such_language_is_refused(client, said):
    assert client.post(CHOOSE, said).status_code == 400


def test_it_leads_nowhere_else(client, mechanic):
    answer = client.post(CHOOSE, {"language": "es", "next": "https://elsewhere.example/"})
    assert answer.headers["Location"] == "/"
