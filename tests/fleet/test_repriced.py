"""A changed booking is priced anew: the usual price stays usual, an agreed one keeps its day's."""

from datetime import date
from decimal import Decimal

import pytest

from fleet.repriced import Priced, repriced


def priced(days, rate="100"):
    return Priced(date(2026, 3, 1), date(2026, 3, days), Decimal(rate))


@pytest.mark.parametrize(
    ("value", "was", "now", "price"),
    [
        ("300", priced(3), priced(5), "500"),
        ("300", priced(3), priced(3, "80"), "240"),
        ("250", priced(3), priced(6), "500"),
        ("250", priced(3), priced(3, "80"), "250"),
        ("100", priced(3), priced(1), "33.33"),
        ("250", priced(3), priced(3), "250"),
    ],
)
def test_a_price_follows_the_days_and_the_machine(value, was, now, price):
    assert repriced(Decimal(value), was, now) == Decimal(price)


def test_no_price_stays_none():
    assert repriced(None, priced(1), priced(2)) is None
