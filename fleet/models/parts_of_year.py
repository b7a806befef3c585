"""Days of the year from one to another, which come again every year."""

from datetime import date

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from fleet.saying import MONTH

LONGEST_MONTH = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
"""Days of each month in a leap year."""


class PartOfYear(models.Model):
    """Days from a first to a last one, both counted; they may run over new year."""

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
        help_text="the last day itself belongs to it",
    )

    class Meta:
        abstract = True

    @property
    def begins(self) -> str:
        """The first day, as "12 Jun"."""
        return f"{self.first_day} {MONTH[self.first_month - 1]}"

    @property
    def ends(self) -> str:
        """The last day, as "28 Aug"."""
        return f"{self.last_day} {MONTH[self.last_month - 1]}"

    def no_such_days(self) -> dict[str, str]:
        """Return a sentence for the first and the last day, where no year has such a day."""
        faults = {}
        for end in ("first", "last"):
            month, day = getattr(self, f"{end}_month"), getattr(self, f"{end}_day")
            if month and day and month <= 12 and day > LONGEST_MONTH[month - 1]:
                name = date(2000, month, 1).strftime("%B")
                longest = LONGEST_MONTH[month - 1]
                faults[f"{end}_day"] = f"{name} has no day {day}; it ends on the {longest}th."
        return faults
