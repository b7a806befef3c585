"""Single days on which a shop works otherwise than its week says: open all the same, overtime.

Nothing is overwritten: the newest row of a day counts, and 0 hours take the earlier ones back.
"""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from fleet.models.people import Person
from fleet.models.places import Shop


class OpenDay(models.Model):
    """A day on which the shop works although its week or a closed day says that it does not.

    Everybody of the shop who is not away works so many hours.
    """

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="open_days")
    day = models.DateField()
    hours = models.FloatField(validators=[MinValueValidator(0), MaxValueValidator(24)])
    reason = models.CharField(max_length=120, blank=True)
    by = models.ForeignKey(Person, models.PROTECT, null=True, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["day", "pk"]
        indexes = [models.Index(fields=["shop", "day"], name="open_day_by_shop")]

    def __str__(self) -> str:
        return f"{self.day}: {self.hours:g} h"


class OvertimeDay(models.Model):
    """Hours of overtime that each mechanic may work on one day, on top of the shop's limit."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="overtime_days")
    day = models.DateField()
    hours = models.FloatField(validators=[MinValueValidator(0), MaxValueValidator(12)])
    reason = models.CharField(max_length=120, blank=True)
    by = models.ForeignKey(Person, models.PROTECT, null=True, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["day", "pk"]
        indexes = [models.Index(fields=["shop", "day"], name="overtime_day_by_shop")]

    def __str__(self) -> str:
        return f"{self.day}: {self.hours:g} h more"
