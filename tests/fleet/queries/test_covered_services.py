import pytest

from fleet.queries.covered_services import covered_on, covered_services
from tests import factories as make

pytestmark = pytest.mark.django_db


def test_covered_services_are_followed_through():
    makeup = make.MakeUp()
    big, middle, small, alone = (make.Service() for _ in range(4))
    make.cover(makeup, big, middle)
    make.cover(makeup, middle, small)
    found = covered_on(makeup.pk)
    assert found.of(makeup.pk, big.pk) == {middle.pk, small.pk}
    assert found.done_with(makeup.pk, middle.pk) == {middle.pk, small.pk}
    assert found.covering(makeup.pk, small.pk) == {big.pk, middle.pk}
    assert found.of(makeup.pk, alone.pk) == found.done_with(makeup.pk, None) == set()


def test_what_holds_on_one_make_up_says_nothing_of_another():
    """Nor are the pairs of two make-ups followed on from one to the other."""
    one, other = make.MakeUp(), make.MakeUp()
    big, middle, small = (make.Service() for _ in range(3))
    make.cover(one, big, middle)
    make.cover(other, middle, small)
    found = covered_services()
    assert found.of(one.pk, big.pk) == {middle.pk}
    assert found.of(other.pk, big.pk) == set()


def test_circle_of_services_ends():
    makeup = make.MakeUp()
    first, second = make.Service(), make.Service()
    make.cover(makeup, first, second)
    make.cover(makeup, second, first)
    assert covered_services().by_makeup == {
        makeup.pk: {first.pk: {second.pk}, second.pk: {first.pk}}
    }
