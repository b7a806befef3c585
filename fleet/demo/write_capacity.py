"""What the demo's shop has more or less of for a while: spells, a bay lent away, a hand lent to it.

What comes once is told in days from today, and told again when it has gone by, so that the demo
always has some of it ahead.
"""

from datetime import date, timedelta
from typing import Any

from fleet.demo.scenario import Scenario
from fleet.demo.write_places import DemoShop
from fleet.models import (
    BayLoan,
    CapacitySpell,
    ClosedDay,
    LentHand,
    Person,
    Qualification,
    Shop,
    Skill,
)

A_YEAR = timedelta(days=365)


def write_capacity(told: Scenario, place: DemoShop, today: date) -> None:
    """Write the spells of every year, and all that comes once."""
    for entry in told["capacity"]["every_year"]:
        CapacitySpell.objects.create(
            shop=place.shop,
            reason=entry["reason"],
            share=entry["share"],
            overtime_limit_hours=entry.get("overtime"),
            first_month=entry["from"][0],
            first_day=entry["from"][1],
            last_month=entry["to"][0],
            last_day=entry["to"][1],
        )
    roll_capacity(told, place, today)


def roll_capacity(told: Scenario, place: DemoShop, today: date) -> None:
    """Write again what comes once and has gone by; what people entered stands as it is."""
    facts, shop = told["capacity"], place.shop
    first, last = _days(facts["once"], today)
    if not _spells_ahead(shop, today):
        CapacitySpell.objects.create(
            shop=shop, reason=facts["once"]["reason"], share=facts["once"]["share"],
            overtime_limit_hours=facts["once"]["overtime"], year=first.year,
            first_month=first.month, first_day=first.day,
            last_month=last.month, last_day=last.day,
        )  # fmt: skip
    if not shop.bay_loans.filter(last_day__gte=today).exists():
        first, last = _days(facts["bay_loan"], today)
        loan = facts["bay_loan"]
        BayLoan.objects.create(
            shop=shop, first_day=first, last_day=last, bays=loan["bays"], note=loan["note"]
        )
    if not shop.lent_hands.filter(last_day__gte=today).exists():
        _lend(facts["lent_hand"], shop, today)
    _certify(facts["certificate"], place.mechanics, today)
    _close_yard(told, place, today)


def _days(entry: dict[str, int], today: date) -> tuple[date, date]:
    """Return first and last day of what is told in days from today."""
    first = today + timedelta(days=entry["in_days"])
    return first, first + timedelta(days=entry["days"] - 1)


def _spells_ahead(shop: Shop, today: date) -> bool:
    spans = (
        spell.span_in(spell.year)
        for spell in shop.capacity_spells.filter(year__gte=today.year - 1)
        if spell.year
    )
    return any(span is not None and span[1] >= today for span in spans)


def _lend(entry: dict[str, Any], shop: Shop, today: date) -> None:
    first, last = _days(entry, today)
    hand = LentHand.objects.create(
        shop=shop, name=entry["name"], hours=entry["hours"], first_day=first, last_day=last,
        note=entry["note"],
    )  # fmt: skip
    hand.skills.set(Skill.objects.filter(name__in=entry["skills"]))


def _certify(entry: dict[str, Any], mechanics: list[Person], today: date) -> None:
    """Give a certificate that runs out within the plan; one that ran out is renewed for a year."""
    held = Qualification.objects.filter(
        person__in=[one for one in mechanics if one.username.startswith(entry["username"])],
        skill__name=entry["skill"],
    )
    until = today + timedelta(days=entry["in_days"])
    held.filter(valid_until=None).update(valid_until=until, certificate=entry["number"])
    held.filter(valid_until__lt=today).update(valid_until=today + A_YEAR)


def _close_yard(told: Scenario, place: DemoShop, today: date) -> None:
    """Shut the ranch alone on a day ahead."""
    entry = told["yard_closed_ahead"]
    yard = place.yards[entry["yard"]]
    if not yard.closed_days.filter(day__gte=today).exists():
        day = today + timedelta(days=entry["in_days"])
        ClosedDay.objects.create(shop=place.shop, yard=yard, day=day, reason=entry["reason"])
