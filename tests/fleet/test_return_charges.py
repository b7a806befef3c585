"""What a rule charges: each case is worked out by hand beside it."""

from decimal import Decimal

import pytest

from fleet.return_charges import ChargeRule, ReturnFigures, charges

RULE = ChargeRule(8.0, Decimal("12.50"), Decimal("80"), Decimal("150"))


def seen(**more):
    usual = {"hours": 24.0, "days": 3, "level_out": 1.0, "level_back": 1.0, "days_late": 0}
    return ReturnFigures(**(usual | more))


@pytest.mark.parametrize(
    ("facts", "told"),
    [
        ({}, []),  # 3 days of 8 h are 24 h
        ({"hours": 26.5}, [("2.5 h of use beyond 24 included", "31.25")]),  # 2.5 x 12.50
        ({"level_back": 0.625}, [("Fuel or charge: 38% of full is missing", "30.00")]),  # 3/8 of 80
        ({"level_back": 0.5, "level_out": 0.25}, []),  # fuller than it went
        ({"days_late": 2}, [("Back 2 days late", "300.00")]),
        ({"hours": None, "level_back": None}, []),  # nobody looked
    ],
)
def test_hours_fuel_and_delay_are_charged_by_their_prices(facts, told):
    assert [(one.what, str(one.amount)) for one in charges(RULE, seen(**facts))] == told


def test_without_a_rule_nothing_is_charged():
    assert charges(ChargeRule(), seen(hours=90.0, level_back=0.0, days_late=4)) == []
