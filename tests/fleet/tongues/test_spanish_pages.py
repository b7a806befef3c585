"""Every address that a mechanic or a ranch hand may open, opened by one who reads Spanish."""

import pytest
from django.db import transaction
from django.utils import timezone

from fleet.models import Role
from tests.fleet.tongues.english_left import english_in
from tests.fleet.tongues.spanish_walk import opened
from tests.made_fleet import make_fleet

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def walked(django_db_setup, django_db_blocker):
    """Return (role, address, method) -> page, of all that shows words to these two."""
    with django_db_blocker.unblock(), transaction.atomic():
        made = make_fleet(timezone.now(), "Zz")
        found = {}
        for role in (Role.MECHANIC, Role.HAND):
            found |= {(role, *asked): page for asked, page in opened(made.people[role]).items()}
        transaction.set_rollback(True)
    return found


def test_who_reads_spanish_finds_no_english(walked):
    left = {asked: english_in(page) for asked, page in walked.items()}
    assert {asked: said for asked, said in left.items() if said} == {}


def test_each_page_says_that_it_is_spanish(walked):
    whole = {asked: page for asked, page in walked.items() if "<html" in page}
    assert {asked for asked, page in whole.items() if '<html lang="es">' not in page} == set()


def test_english_is_found_where_it_is():
    assert english_in("<p>Rojo.</p><p>Some of it is left.</p>") == ["Some of it is left."]
    assert english_in("<button aria-label='Open the sheet'>Abrir</button>") == ["Open the sheet"]
    assert english_in("<p>Faltan 2 h 15 min del trabajo en Q-07.</p>") == []
