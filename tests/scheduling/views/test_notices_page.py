"""The notices page: each person reads their own, a manager the shop's."""

import pytest
from django.urls import reverse

from fleet.models import Role
from scheduling.models import Notice
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


def notice(person, **more) -> Notice:
    facts = {
        "kind": "list",
        "subject": "Your list",
        "text": "Q-1 first",
        "html": "<p>Q-1 first</p>",
        "made_at": NOON,
        "shop": person.shop,
    }
    return Notice.objects.create(person=person, **facts | more)


def test_a_person_reads_their_own_notices(client):
    mechanic = factories.Mechanic()
    row = notice(mechanic)
    client.force_login(mechanic)
    assert "Your list" in client.get(reverse("notices")).content.decode()
    assert "Q-1 first" in client.get(reverse("notice", args=[row.pk])).content.decode()


def test_anothers_notice_is_not_found(client):
    row = notice(factories.Mechanic())
    client.force_login(factories.Mechanic())
    assert client.get(reverse("notice", args=[row.pk])).status_code == 404


def test_a_notice_that_could_not_be_sent_says_why_to_the_manager(client):
    mechanic = factories.Mechanic()
    notice(mechanic, failed_at=NOON, error="no such mailbox")
    client.force_login(factories.Person(shop=mechanic.shop, role=Role.MANAGER))
    assert "no such mailbox" in client.get(reverse("notices")).content.decode()


def test_an_empty_list_says_what_writes_notices(client):
    client.force_login(factories.Mechanic())
    assert "nightly run" in client.get(reverse("notices")).content.decode()


def test_the_number_of_queries_does_not_grow_with_the_notices(
    client, django_assert_max_num_queries
):
    mechanic = factories.Mechanic()
    for _ in range(20):
        notice(mechanic)
    client.force_login(mechanic)
    with django_assert_max_num_queries(10):
        client.get(reverse("notices"))
