"""A shop with one quad whose oil change stands on lists."""

from datetime import datetime, time, timedelta

from fleet import models
from fleet.actions.keep_day import DayList, keep_day
from fleet.work_keys import service_key
from tests import factories
from tests.factories import TODAY


class ListCase:
    """Facts of one machine; days are counted from TODAY, a Monday."""

    def __init__(self):
        self.mechanic = factories.Mechanic(first_name="Jo")
        self.shop = self.mechanic.shop
        self.machine = factories.Machine(tag="Q-1", yard__shop=self.shop)
        self.oil = factories.Service(code="oil", name="Oil change", minutes=60)
        self.key = service_key(self.machine.pk, self.oil.pk)

    def day(self, days):
        return TODAY + timedelta(days=days)

    def at(self, days, hour):
        return datetime.combine(self.day(days), time(hour), self.shop.zone)

    def keep(self, days, *extra):
        """Keep a day's list with the oil change, or with rows of its own."""
        rows = extra or [self.row()]
        listed = DayList(self.day(days), 90, 480, rows)
        return keep_day(self.shop, listed, now=self.at(days, 2))

    def row(self, **fields):
        return models.KeptWork(
            **{"machine": self.machine, "work_key": self.key, "title": "Oil change",
               "service": self.oil, "mechanic": self.mechanic, "minutes": 60} | fields
        )  # fmt: skip

    def did(self, days, hour=10, **fields):
        """Write the oil change into the book."""
        return factories.ServiceRecord(
            **{"machine": self.machine, "service": self.oil, "done_at": self.at(days, hour),
               "done_by": self.mechanic, "minutes": 75} | fields
        )  # fmt: skip

    def publish(self, days, made, key=None):
        """Publish the work for a day, at noon of another."""
        job = {"work_key": key or self.key, "day": self.day(days).isoformat(),
               "mechanic": self.mechanic.username}  # fmt: skip
        return models.Release.objects.create(
            shop=self.shop, at=self.at(made, 12), first_day=self.day(made),
            last_day=self.day(made + 7), jobs=[job],
        )  # fmt: skip
