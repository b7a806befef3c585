import pytest

from fleet.models import Machine, Meter
from scheduling.facts.scope import MOST_IDS, Scope, transposed
from tests import factories as make

pytestmark = pytest.mark.django_db


def test_scope_of_a_shop_and_of_some_machines():
    mine, other = make.Meter(), make.Meter()
    shop = mine.machine.yard.shop_id
    assert list(Machine.objects.filter(Scope.of(shop).machines())) == [mine.machine]
    assert list(Meter.objects.filter(Scope.of(shop).on("machine"))) == [mine]
    some = Scope.of(shop, [other.machine_id])
    assert list(Meter.objects.filter(some.on("machine"))) == [other]


def test_very_many_machines_are_loaded_as_a_shop():
    assert Scope.of(7, range(MOST_IDS + 1)).ids is None
    assert Scope.of(7, [3, 1]).ids == (1, 3)


def test_columns_of_nothing_are_empty():
    assert transposed(Machine.objects.none().values_list("pk", "tag"), 2) == [(), ()]
    assert transposed([(1, "a"), (2, "b")], 2) == [(1, 2), ("a", "b")]
