"""The set-up page says what is missing, in the order in which a shop puts it in."""

from datetime import date

import pytest
from django.urls import reverse

from fleet.models import Qualification, Role
from fleet.queries.set_up_needs import parts_of_set_up
from tests import factories
from tests.factories import TODAY

pytestmark = pytest.mark.django_db


def missing(title: str) -> str:
    return next(part.missing for part in parts_of_set_up(TODAY) if part.title == title)


def test_an_empty_site_asks_for_a_shop_first():
    assert "No shop yet" in missing("Shops")


def test_a_shop_without_a_mechanic_is_named():
    shop = factories.Shop()
    assert f"No mechanic yet for {shop.name}" in missing("People")


def test_a_mechanic_without_hours_is_named():
    factories.Person(role=Role.MECHANIC, username="idle")
    assert "without working hours: idle" in missing("People")


def test_a_machine_without_interval_or_reading_is_named():
    meter = factories.Meter(machine__tag="Q-1")
    assert "ever falls due: Q-1" in missing("Intervals")
    assert "never read: Q-1" in missing("Machines")
    factories.Interval(makeup=meter.machine.makeup)
    factories.Reading(meter=meter)
    assert "Q-1" not in missing("Intervals") + missing("Machines")


def test_a_long_list_of_names_is_cut_and_counted():
    factories.Machine.create_batch(8, started_on=None)
    assert "and 3 more" in missing("Machines")


def test_the_page_is_for_managers(client):
    client.force_login(factories.Person(role=Role.DESK))
    assert client.get(reverse("set-up")).status_code == 403
    client.force_login(factories.Person(role=Role.MANAGER))
    assert "No machine yet" in client.get(reverse("set-up")).content.decode()


def test_the_number_of_queries_does_not_grow_with_the_fleet(django_assert_max_num_queries):
    factories.Machine.create_batch(20)
    with django_assert_max_num_queries(40):
        parts_of_set_up(TODAY)


def test_certificates_that_ran_out_or_soon_will_are_named():
    person, skill = factories.Mechanic(first_name="Ingrid"), factories.Skill(name="inspector")
    row = Qualification.objects.create(person=person, skill=skill, valid_until=date(2026, 3, 20))
    assert "soon will: Ingrid (inspector, Fri 20 Mar)." in missing("People")
    row.valid_until = date(2026, 5, 1)
    row.save()
    assert "Certificates" not in missing("People")


def test_a_hand_lent_from_outside_lacks_nothing():
    factories.LentHand(name="Runa")
    assert "hand-runa" not in missing("People")
