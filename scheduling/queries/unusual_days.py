"""What makes a day of the shop another than usual, in words: spells, bays, overtime, ranches."""

from collections.abc import Iterable
from datetime import date, timedelta

from fleet.models import BayLoan, CapacitySpell, ClosedDay, OvertimeDay, Shop
from fleet.saying import capital, counted


def otherwise(
    shop: Shop, first: date, days: int, overtime: Iterable[OvertimeDay] = ()
) -> dict[date, list[str]]:
    """Return what is otherwise on each day; a day as usual has no words.  Three queries.

    overtime: what is allowed on single days (`overtime_allowed`).
    """
    span = [first + timedelta(days=number) for number in range(days)]
    found: dict[date, list[str]] = {day: [] for day in span}
    spells = sorted(CapacitySpell.objects.filter(shop=shop), key=lambda one: one.year is None)
    for day in span:
        spell = next((one for one in spells if one.covers(day)), None)
        if spell:
            found[day].append(_of_spell(spell))
    loans = BayLoan.objects.filter(shop=shop, first_day__lte=span[-1], last_day__gte=first)
    for loan in loans:
        for day in span:
            if loan.first_day <= day <= loan.last_day:
                found[day].append(_of_loan(loan))
    for more in overtime:
        found[more.day].append(f"{more.hours:g} h more of overtime allowed.")
    shut = ClosedDay.objects.filter(yard__shop=shop, day__range=(first, span[-1]))
    for one in shut.select_related("yard"):
        reason = f": {one.reason}" if one.reason else ""
        found[one.day].append(f"{one.yard} is shut{reason}.")
    return found


def overtime_allowed(shop: Shop, first: date, days: int) -> list[OvertimeDay]:
    """Return what stands of overtime allowed on single days, beyond the usual; one query."""
    rows = OvertimeDay.objects.filter(
        shop=shop, day__range=(first, first + timedelta(days=days - 1))
    )
    newest = {row.day: row for row in rows.select_related("by").order_by("pk")}
    return [row for _day, row in sorted(newest.items()) if row.hours > 0]


def _of_spell(spell: CapacitySpell) -> str:
    """Say how long people work, and how much overtime."""
    text = f"{capital(spell.reason)}: {spell.share:.0%} of the usual hours"
    if spell.overtime_limit_hours is None:
        return f"{text}."
    if not spell.overtime_limit_hours:
        return f"{text}, no overtime."
    return f"{text}, up to {spell.overtime_limit_hours:g} h of overtime."


def _of_loan(loan: BayLoan) -> str:
    """Say how many bays more or fewer there are."""
    bays = counted(abs(loan.bays), "bay")
    text = f"{bays} lent away" if loan.bays < 0 else f"{bays} more than usual"
    return f"{text}: {loan.note}." if loan.note else f"{text}."
