"""Bays lent, and spells in which a shop works more or less."""

from datetime import date

import pytest
from django.core.exceptions import ValidationError

from tests import factories

pytestmark = pytest.mark.django_db


def faults(row) -> str:
    with pytest.raises(ValidationError) as refused:
        row.full_clean()
    return " ".join(refused.value.messages)


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"bays": 0}, "A loan of 0 bays changes nothing; write 1 or -1."),
        ({"last_day": date(2026, 3, 1)}, "The last day is before the first"),
        ({"bays": -3}, "3 bays would be lent away on these days, but North has 2"),
    ],
)
def test_a_loan_that_cannot_be_is_refused_in_a_sentence(given, sentence):
    shop = factories.Shop(name="North", bays=2)
    assert sentence in faults(factories.BayLoan.build(shop=shop, **given))


def test_loans_of_the_same_days_add_up():
    shop = factories.Shop(bays=2)
    factories.BayLoan(shop=shop, bays=-2)
    late = factories.BayLoan.build(shop=shop, first_day=date(2026, 3, 8), last_day=date(2026, 3, 9))
    assert "3 bays would be lent away" in faults(late)
    late.first_day = date(2026, 3, 9)
    late.full_clean()


@pytest.mark.parametrize("bays", [1, -2])
def test_a_bay_more_and_all_bays_lent_away_are_loans(bays):
    factories.BayLoan.build(shop=factories.Shop(bays=2), bays=bays).full_clean()


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"share": 2.1}, "less than or equal to 2"),
        ({"share": -0.1}, "greater than or equal to 0"),
        ({"share": float("nan")}, "A share is a number from 0 to 2."),
        ({"first_month": 6, "first_day": 31}, "June has no day 31; it ends on the 30th."),
        ({"last_month": 2, "last_day": 30}, "February has no day 30; it ends on the 29th."),
    ],
)
def test_a_spell_out_of_range_is_refused(given, sentence):
    assert sentence in faults(factories.CapacitySpell.build(shop=factories.Shop(), **given))


def spell(shop, first, last, year=None):
    return factories.CapacitySpell.build(
        shop=shop, reason="a fair", year=year,
        first_month=first[0], first_day=first[1], last_month=last[0], last_day=last[1],
    )  # fmt: skip


@pytest.mark.parametrize(
    ("first", "last", "sentence"),
    [
        ((3, 7), (3, 9), "both hold on 7 Mar"),
        ((2, 1), (2, 28), ""),
        ((2, 1), (2, 29), ""),
        ((12, 20), (3, 1), "both hold on 1 Mar"),
        ((3, 8), (3, 8), ""),
    ],
)
def test_two_spells_of_every_year_may_not_meet(first, last, sentence):
    shop = factories.Shop()
    factories.CapacitySpell(shop=shop)  # 1 to 7 March, haying
    row = spell(shop, first, last)
    if sentence:
        assert sentence in faults(row)
        assert "“haying”" in faults(row)
    else:
        row.full_clean()


def test_a_spell_of_one_year_may_stand_over_one_of_every_year():
    shop = factories.Shop()
    factories.CapacitySpell(shop=shop)
    once = spell(shop, (3, 2), (3, 3), year=2026)
    once.full_clean()
    once.save()
    assert "both hold on 3 Mar" in faults(spell(shop, (3, 3), (3, 4), year=2026))
    spell(shop, (3, 3), (3, 4), year=2027).full_clean()


def test_spells_of_other_shops_do_not_meet():
    factories.CapacitySpell()
    spell(factories.Shop(), (3, 7), (3, 9)).full_clean()


@pytest.mark.parametrize(
    ("first", "last", "year", "day", "inside"),
    [
        ((12, 20), (1, 6), None, date(2026, 1, 6), True),
        ((12, 20), (1, 6), None, date(2026, 12, 20), True),
        ((12, 20), (1, 6), None, date(2026, 1, 7), False),
        ((12, 20), (1, 6), 2025, date(2026, 1, 6), True),
        ((12, 20), (1, 6), 2025, date(2026, 12, 31), False),
        ((2, 29), (3, 5), None, date(2026, 2, 28), False),
        ((2, 29), (3, 5), None, date(2026, 3, 1), True),
        ((2, 1), (2, 29), None, date(2026, 2, 28), True),
        ((2, 29), (2, 29), None, date(2026, 2, 28), False),
    ],
)
def test_which_days_belong_to_a_spell(first, last, year, day, inside):
    assert spell(None, first, last, year).covers(day) is inside
