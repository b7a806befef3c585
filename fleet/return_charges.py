"""What a shop's own rule charges for a return: hours beyond those included, fuel, delay; pure.

A class without a rule charges nothing: the prices are the shop's, none is shipped.  Hours of use
that are included count for each day of the booking as it was promised.
"""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from fleet.saying import counted

CENT = Decimal("0.01")


@dataclass(frozen=True)
class ChargeRule:
    """Prices of a class; None: not charged.

    included: hours of use in the price of a day.  extra_hour: for each hour beyond; fuel: for what
    is missing of a whole tank or charge; late_day: for each day begun past the end.
    """

    included: float | None = None
    extra_hour: Decimal | None = None
    fuel: Decimal | None = None
    late_day: Decimal | None = None


@dataclass(frozen=True)
class ReturnFigures:
    """What happened: hours used (None: not read), days as promised, levels 0 to 1, days late."""

    hours: float | None
    days: int
    level_out: float | None
    level_back: float | None
    days_late: int


@dataclass(frozen=True)
class ReturnCharge:
    """One thing to charge, and how much."""

    what: str
    amount: Decimal


def charges(rule: ChargeRule, seen: ReturnFigures) -> list[ReturnCharge]:
    """Return what the rule charges, each with how it comes about."""
    return [one for one in (_hours(rule, seen), _fuel(rule, seen), _late(rule, seen)) if one]


def _hours(rule: ChargeRule, seen: ReturnFigures) -> ReturnCharge | None:
    if rule.extra_hour is None or rule.included is None or seen.hours is None:
        return None
    over = round(seen.hours - rule.included * seen.days, 1)
    if over <= 0:
        return None
    included = f"{rule.included * seen.days:g} included"
    return ReturnCharge(
        f"{over:g} h of use beyond {included}", _cents(rule.extra_hour * _exact(over))
    )


def _fuel(rule: ChargeRule, seen: ReturnFigures) -> ReturnCharge | None:
    if rule.fuel is None or seen.level_out is None or seen.level_back is None:
        return None
    missing = seen.level_out - seen.level_back
    if missing <= 0:
        return None
    price = _cents(rule.fuel * _exact(missing))
    return ReturnCharge(f"Fuel or charge: {missing:.0%} of full is missing", price)


def _late(rule: ChargeRule, seen: ReturnFigures) -> ReturnCharge | None:
    if rule.late_day is None or seen.days_late <= 0:
        return None
    late = _cents(rule.late_day * seen.days_late)
    return ReturnCharge(f"Back {counted(seen.days_late, 'day')} late", late)


def _exact(value: float) -> Decimal:
    return Decimal(str(round(value, 4)))


def _cents(value: Decimal) -> Decimal:
    return value.quantize(CENT, ROUND_HALF_UP)
