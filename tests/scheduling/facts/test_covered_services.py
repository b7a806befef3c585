import pytest

from scheduling.facts.covered_services import covered_services
from tests import factories as make

pytestmark = pytest.mark.django_db


def test_covered_services_are_followed_through():
    big, middle, small, alone = (make.Service() for _ in range(4))
    big.covers.add(middle)
    middle.covers.add(small)
    found = covered_services()
    assert found[big.pk] == {middle.pk, small.pk}
    assert found[middle.pk] == {small.pk}
    assert alone.pk not in found


def test_circle_of_services_ends():
    first, second = make.Service(), make.Service()
    first.covers.add(second)
    second.covers.add(first)
    assert covered_services() == {first.pk: {second.pk}, second.pk: {first.pk}}
