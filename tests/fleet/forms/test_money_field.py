"""Money is read as it is written at a counter."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from fleet.forms.money_field import MoneyField


@pytest.mark.parametrize(
    ("written", "amount"),
    [
        ("480", "480"), ("480.50", "480.50"), ("480,5", "480.5"), ("$220", "220"),
        ("220 $", "220"), ("1,200", "1200"), ("1 200,50", "1200.50"),
        ("1,200.50", "1200.50"), ("1.200,50", "1200.50"), ("1'200.-", "1200"),
        ("CHF 1’200.50", "1200.50"), ("1,200,300", "1200300"), ("US$ 99.", "99"), (".50", "0.50"),
    ],
)  # fmt: skip
def test_what_people_write_is_money(written, amount):
    assert MoneyField().clean(written) == Decimal(amount)


@pytest.mark.parametrize(
    "written",
    [
        "12,34,56",
        "1.200",
        "1,20,0",
        "a lot",
        "1.2.3",
        "-5",
        "1e5",
        "NaN",
        "١٢x",
        "\x00",
        "99999999999",
    ],
)
def test_what_is_no_money_is_refused(written):
    with pytest.raises(ValidationError):
        MoneyField().clean(written)


def test_nothing_is_nothing():
    assert MoneyField(required=False).clean(" ") is None
