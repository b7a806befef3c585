"""What makes a day another than usual, in words."""

from datetime import date, timedelta

import pytest

from fleet.models import ClosedDay
from scheduling.queries.unusual_days import otherwise
from tests import factories
from tests.factories import TODAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    return factories.Shop()


@pytest.mark.parametrize(
    ("share", "overtime", "sentence"),
    [
        (0.5, None, "Haying: 50% of the usual hours."),
        (1.25, 3, "Haying: 125% of the usual hours, up to 3 h of overtime."),
        (0, 0, "Haying: 0% of the usual hours, no overtime."),
    ],
)
def test_a_spell_says_how_long_people_work(shop, share, overtime, sentence):
    factories.CapacitySpell(shop=shop, share=share, overtime_limit_hours=overtime, last_day=2)
    said = otherwise(shop, TODAY, 2)
    assert list(said.values()) == [[sentence], []]


def test_a_spell_of_one_year_takes_the_word(shop):
    factories.CapacitySpell(shop=shop, share=0.5)
    factories.CapacitySpell(shop=shop, share=1.5, year=2026, reason="a fair")
    assert otherwise(shop, TODAY, 1) == {TODAY: ["A fair: 150% of the usual hours."]}


def test_bays_and_ranches_are_named_on_their_days(shop):
    ranch = factories.Yard(shop=shop, remote=True, name="Bell Hollow")
    factories.BayLoan(shop=shop, last_day=TODAY, note="for welding")
    factories.BayLoan(shop=shop, bays=2, first_day=date(2026, 3, 3))
    ClosedDay.objects.create(shop=shop, yard=ranch, day=TODAY, reason="weaning")
    assert list(otherwise(shop, TODAY, 2).values()) == [
        ["1 bay lent away: for welding.", "Bell Hollow is shut: weaning."],
        ["2 bays more than usual."],
    ]


def test_three_queries_however_many_days(shop, django_assert_num_queries):
    for number in range(4):
        factories.BayLoan(shop=shop, bays=number + 1)
    with django_assert_num_queries(3):
        assert len(otherwise(shop, TODAY - timedelta(days=9), 60)) == 60
