"""What stood on a shop's list as a day began: kept once, never rewritten.

A plan is a consequence: the next run takes its place and nothing of it is left.  That a piece of
work stood on somebody's list on a certain morning is a fact all the same, like a reading: it
happened, nobody can compute it again from anything else, and what was done is judged against it.
So it stands here beside the releases, and outlives every rebuild of the schedule.
"""

from django.db import models

from fleet.models.findings import Finding
from fleet.models.machines import Machine
from fleet.models.people import Person
from fleet.models.places import Shop
from fleet.models.services import Service


class KeptDay(models.Model):
    """One day of a shop as it was planned when it began; a day without work is kept too."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="kept_days")
    day = models.DateField()
    kept_at = models.DateTimeField()
    minutes = models.PositiveIntegerField(help_text="visits, set-ups and work of all mechanics")
    minutes_there = models.PositiveIntegerField(help_text="that all mechanics had on that day")

    class Meta:
        ordering = ["day"]
        constraints = [models.UniqueConstraint(fields=["shop", "day"], name="day_kept_once")]

    def __str__(self) -> str:
        return f"{self.shop} on {self.day}"


class KeptWork(models.Model):
    """One piece of work on the list of such a day."""

    kept_day = models.ForeignKey(KeptDay, models.PROTECT, related_name="work")
    machine = models.ForeignKey(Machine, models.PROTECT, related_name="+")
    work_key = models.CharField(max_length=120)
    title = models.CharField(max_length=300, help_text="what it was called on that day")
    service = models.ForeignKey(Service, models.PROTECT, null=True, related_name="+")
    finding = models.ForeignKey(Finding, models.PROTECT, null=True, related_name="+")
    mechanic = models.ForeignKey(Person, models.PROTECT, null=True, related_name="+")
    minutes = models.PositiveSmallIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["kept_day", "work_key"], name="kept_once_a_day")
        ]

    def __str__(self) -> str:
        return f"{self.title} on {self.kept_day.day}"
