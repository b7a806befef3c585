"""What the list of machines may be narrowed to."""

import pytest

from fleet.models import Machine
from scheduling.forms.machines_form import MachineFilter, ShopChoice
from scheduling.queries.machine_list import narrowed
from tests import factories

pytestmark = pytest.mark.django_db


def test_only_the_persons_own_yards_are_offered():
    person = factories.Person()
    own = factories.Yard(shop=person.shop)
    factories.Yard()
    assert list(MachineFilter({}, person=person).fields["yard"].queryset) == [own]


def test_every_word_of_the_text_must_fit():
    person = factories.Person()
    for tag in ("Q-1", "Q-2"):
        factories.Machine(tag=tag, serial=f"{tag}-alpha", yard__shop=person.shop)
    form = MachineFilter({"text": "alpha q-2"}, person=person)
    assert [m.tag for m in narrowed(Machine.objects.all(), form.narrowing())] == ["Q-2"]


def test_a_person_of_one_shop_gets_it_and_one_of_none_the_first():
    shops = [factories.Shop(name=name) for name in ("Beta", "Alpha")]
    assert ShopChoice({}, person=factories.Person(shop=shops[0])).chosen() == shops[0]
    nobody = factories.Person(shop=None)
    assert ShopChoice({}, person=nobody).chosen() == shops[1]
    assert ShopChoice({"shop": shops[0].pk}, person=nobody).chosen() == shops[0]
