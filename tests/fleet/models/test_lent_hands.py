"""Hands lent to a shop."""

from datetime import date

import pytest
from django.core.exceptions import ValidationError

from fleet.models import LentHand, Person, Role
from tests import factories

pytestmark = pytest.mark.django_db


def faults(row) -> str:
    with pytest.raises(ValidationError) as refused:
        row.full_clean()
    return " ".join(refused.value.messages)


def test_a_hand_from_outside_is_a_mechanic_who_cannot_sign_in():
    person = factories.LentHand(name="Runa from the next ranch").person
    assert (str(person), person.role, person.shop) == (
        "Runa from the next ranch", Role.MECHANIC, None,
    )  # fmt: skip
    assert person.from_outside
    assert not person.has_usable_password()


def test_the_same_hand_of_the_same_shop_is_one_person():
    shop = factories.Shop()
    first = factories.LentHand(shop=shop, name="Runa")
    again = factories.LentHand(
        shop=shop, name=" runa", first_day=date(2027, 3, 1), last_day=date(2027, 3, 2)
    )
    elsewhere = factories.LentHand(name="Runa")
    assert again.person == first.person
    assert elsewhere.person != first.person
    assert elsewhere.person.username == "hand-runa-2"


def test_a_name_put_right_is_put_right_in_the_plan():
    lent = factories.LentHand(name="Rona")
    lent.name = "Runa"
    lent.save()
    assert str(Person.objects.get(pk=lent.person_id)) == "Runa"


def test_our_own_people_keep_their_name():
    own = factories.Mechanic(first_name="Ingrid")
    factories.LentHand(person=own, name="")
    assert str(Person.objects.get(pk=own.pk)) == "Ingrid"
    assert not own.from_outside


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"name": " "}, "Name them, or choose one of your own people."),
        ({"last_day": date(2026, 3, 1)}, "The last day is before the first"),
        ({"hours": 0}, "greater than or equal to 0.25"),
        ({"hours": 25}, "less than or equal to 24"),
        ({"hours": float("nan")}, "Hours a day are a number from 0.25 to 24."),
    ],
)
def test_a_hand_that_cannot_work_is_refused_in_a_sentence(given, sentence):
    shop = factories.Shop()
    fields = {"name": "Runa", "first_day": date(2026, 3, 2), "last_day": date(2026, 3, 8)} | given
    assert sentence in faults(LentHand(shop=shop, **fields))


def test_nobody_is_lent_to_the_shop_where_they_work():
    own = factories.Mechanic(first_name="Ingrid")
    row = factories.LentHand.build(shop=own.shop, person=own)
    assert "Ingrid works in" in faults(row)


def test_nobody_is_lent_to_two_shops_on_one_day():
    own = factories.Mechanic()
    factories.LentHand(shop=factories.Shop(name="North"), person=own)
    row = factories.LentHand.build(shop=factories.Shop(), person=own)
    assert "is lent to North from 2026-03-02 to 2026-03-08 already" in faults(row)
