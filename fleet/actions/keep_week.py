"""The hours of a week: a shop's on its door, a person's at work."""

from collections.abc import Mapping
from datetime import time

from django.db import transaction

from fleet.models import Person, Shop, ShopHours, WorkingHours


@transaction.atomic
def keep_open_hours(shop: Shop, hours: Mapping[int, tuple[time, time] | None]) -> None:
    """Let a shop be open from when to when on each weekday; None: closed."""
    kept = {row.weekday: row for row in shop.hours.all()}
    for day, span in hours.items():
        row = kept.get(day)
        if span is None:
            if row:
                row.delete()
        elif row is None or (row.opens, row.closes) != span:
            given = {"opens": span[0], "closes": span[1]}
            ShopHours.objects.update_or_create(shop=shop, weekday=day, defaults=given)


@transaction.atomic
def keep_working_hours(person: Person, hours: Mapping[int, float | None]) -> None:
    """Let a person work so many hours on each weekday; None: off."""
    kept = {row.weekday: row for row in person.working_hours.all()}
    for day, many in hours.items():
        row = kept.get(day)
        if many is None:
            if row:
                row.delete()
        elif row is None or row.hours != many:
            WorkingHours.objects.update_or_create(
                person=person, weekday=day, defaults={"hours": many}
            )
