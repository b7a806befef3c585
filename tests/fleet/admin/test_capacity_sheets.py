"""The sheets of bays, hands and spells."""

import pytest
from django.urls import reverse

from fleet.models import BayLoan, CapacitySpell, LentHand, Role
from tests import factories

pytestmark = pytest.mark.django_db
DAYS = {"first_day": "2026-03-02", "last_day": "2026-03-06"}


@pytest.fixture
def manager(client):
    client.force_login(factories.Person(role=Role.OWNER))
    return client


def add(client, sheet, **fields):
    address = reverse(f"sheets:fleet_{sheet}_add")
    return client.post(address, fields, follow=True).content.decode()


def test_a_loan_of_bays_is_taken_and_one_of_too_many_refused(manager):
    shop = factories.Shop(bays=2)
    assert "The plan takes this up" in add(manager, "bayloan", shop=shop.pk, bays=-2, **DAYS)
    assert "3 bays would be lent away" in add(manager, "bayloan", shop=shop.pk, bays=-1, **DAYS)
    assert BayLoan.objects.count() == 1


def test_a_hand_is_lent_with_skills_and_a_spell_must_not_meet_another(manager):
    shop = factories.Shop()
    hand = {"shop": shop.pk, "name": "Runa", "hours": 8, **DAYS}
    assert "Say what they can do" in add(manager, "lenthand", **hand)
    add(manager, "lenthand", skills=[factories.Skill().pk], **hand)
    assert str(LentHand.objects.get().person) == "Runa"
    spell = {"shop": shop.pk, "reason": "haying", "share": "0.5",
             "first_month": 6, "first_day": 20, "last_month": 7, "last_day": 4}  # fmt: skip
    add(manager, "capacityspell", **spell)
    assert "both hold on 20 Jun" in add(manager, "capacityspell", **spell)
    assert CapacitySpell.objects.count() == 1


@pytest.mark.parametrize("sheet", ["bayloan", "lenthand", "capacityspell", "skill"])
def test_the_list_opens(manager, sheet):
    factories.BayLoan(), factories.LentHand(), factories.CapacitySpell()
    assert manager.get(reverse(f"sheets:fleet_{sheet}_changelist")).status_code == 200


@pytest.mark.parametrize("role", [Role.DESK, Role.MECHANIC])
def test_they_are_the_managers_alone(client, role):
    client.force_login(factories.Person(role=role))
    assert client.get(reverse("sheets:fleet_lenthand_changelist")).status_code != 200
