"""Readings that wait to be mended, by person."""

import pytest

from fleet.models import ReadingToMend
from fleet.queries.kept_readings import settled, to_mend
from tests import factories
from tests.factories import NOON


def kept(mark, **more):
    return ReadingToMend.objects.create(
        fingerprint=mark, source="file", reason="backwards", sentence="?",
        **({"entered_at": NOON} | more),
    )  # fmt: skip


@pytest.fixture
def mine(db):
    return factories.Machine()


def test_a_person_sees_those_of_the_shop_and_of_no_known_machine(mine):
    own, unknown = kept("a", machine=mine), kept("b")
    foreign = kept("c", machine=factories.Machine())
    assert set(to_mend(factories.Person(shop=mine.yard.shop))) == {own, unknown}
    assert set(to_mend(factories.Person(shop=None))) == {own, unknown, foreign}


def test_a_settled_one_waits_no_more(mine):
    done, waits = kept("a", mended_at=NOON), kept("b")
    person = factories.Person(shop=None)
    assert list(to_mend(person)) == [waits]
    assert list(settled(person)) == [done]


def test_a_file_is_listed_by_line(mine):
    last, first = kept("a", line=9), kept("b", line=2)
    assert list(to_mend(factories.Person(shop=None))) == [first, last]
