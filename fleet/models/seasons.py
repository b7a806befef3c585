"""Parts of the year in which machines are used more or less than usual, as their owner says."""

from datetime import date
from math import isfinite

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from fleet.models.makeups import MachineClass, MakeUp
from fleet.models.places import Yard
from fleet.saying import MONTH

LONGEST_MONTH = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
"""Days of each month in a leap year."""


class SeasonWeight(models.Model):
    """Days of every year on which machines run so many times what they usually do.

    Yard, class and make-up narrow down which machines are meant; left empty they mean all.  The
    season may run over new year (20 Dec to 6 Jan).  29 Feb as the last day ends it on 28 Feb in
    years without one; as the first day it begins on 1 Mar then.  Seasons that overlap multiply, to
    at most 5 times the usual in all.
    """

    reason = models.CharField(max_length=80, help_text="haying, calving, winter storage, holidays")
    weight = models.FloatField(
        validators=[MinValueValidator(0), MaxValueValidator(5)],
        help_text="use on such a day against a usual one: 2 is twice as much, 0 none at all",
    )
    first_month = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(12)]
    )
    first_day = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(31)]
    )
    last_month = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(12)]
    )
    last_day = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(31)],
        help_text="the last day itself belongs to the season",
    )
    yard = models.ForeignKey(
        Yard, models.CASCADE, null=True, blank=True, related_name="seasons",
        help_text="empty: of all yards",
    )  # fmt: skip
    machine_class = models.ForeignKey(
        MachineClass, models.CASCADE, null=True, blank=True, related_name="seasons",
        help_text="empty: of all classes",
    )  # fmt: skip
    makeup = models.ForeignKey(
        MakeUp, models.CASCADE, null=True, blank=True, related_name="seasons",
        help_text="empty: of all make-ups",
    )  # fmt: skip

    class Meta:
        verbose_name = "season"
        ordering = ["first_month", "first_day", "pk"]

    def __str__(self) -> str:
        return f"{self.reason}: {self.weight:g} times the usual"

    @property
    def begins(self) -> str:
        """The first day, as "12 Jun"."""
        return f"{self.first_day} {MONTH[self.first_month - 1]}"

    @property
    def ends(self) -> str:
        """The last day, as "28 Aug"."""
        return f"{self.last_day} {MONTH[self.last_month - 1]}"

    def clean(self) -> None:
        """Refuse a day that no year has, and a weight that is no number."""
        faults = no_such_days(self)
        if self.weight is not None and not isfinite(self.weight):
            faults["weight"] = "A weight is a number from 0 to 5."
        if faults:
            raise ValidationError(faults)


def no_such_days(row: models.Model) -> dict[str, str]:
    """Return a sentence for the first and the last day of a row, where no year has such a day."""
    faults = {}
    for end in ("first", "last"):
        month, day = getattr(row, f"{end}_month"), getattr(row, f"{end}_day")
        if month and day and month <= 12 and day > LONGEST_MONTH[month - 1]:
            name = date(2000, month, 1).strftime("%B")
            longest = LONGEST_MONTH[month - 1]
            faults[f"{end}_day"] = f"{name} has no day {day}; it ends on the {longest}th."
    return faults
