"""A person chooses among the yards of their own shop."""

import pytest
from django import forms

from fleet.forms.narrowing_fields import OneYard, offer_own_yards
from tests import factories

pytestmark = pytest.mark.django_db


class Asking(forms.Form):
    yard = OneYard()


@pytest.fixture
def person():
    return factories.Person()


def asked(person, yard) -> Asking:
    form = Asking({"yard": yard})
    offer_own_yards(form, person)
    return form


def test_ones_own_yard_can_be_chosen(person):
    yard = factories.Yard(shop=person.shop)
    assert asked(person, yard.pk).is_valid()


def test_no_choice_means_every_yard(person):
    assert asked(person, "").is_valid()


@pytest.mark.parametrize("yard", ["999999", "x"])
def test_a_yard_that_is_not_there_gets_a_sentence(person, yard):
    assert asked(person, yard).errors["yard"] == [
        "There is no such yard; choose one from the list."
    ]


def test_a_yard_of_another_shop_is_not_offered(person):
    assert not asked(person, factories.Yard().pk).is_valid()
