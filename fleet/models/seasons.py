"""Parts of the year in which machines are used more or less than usual, as their owner says."""

from math import isfinite

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from fleet.models.makeups import MachineClass, MakeUp
from fleet.models.parts_of_year import PartOfYear
from fleet.models.places import Yard


class SeasonWeight(PartOfYear):
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
    yard = models.ForeignKey(
        Yard, models.PROTECT, null=True, blank=True, related_name="seasons",
        help_text="empty: of all yards",
    )  # fmt: skip
    machine_class = models.ForeignKey(
        MachineClass, models.PROTECT, null=True, blank=True, related_name="seasons",
        help_text="empty: of all classes",
    )  # fmt: skip
    makeup = models.ForeignKey(
        MakeUp, models.PROTECT, null=True, blank=True, related_name="seasons",
        help_text="empty: of all make-ups",
    )  # fmt: skip

    class Meta:
        verbose_name = "season"
        ordering = ["first_month", "first_day", "pk"]

    def __str__(self) -> str:
        return f"{self.reason}: {self.weight:g} times the usual"

    def clean(self) -> None:
        """Refuse a day that no year has, and a weight that is no number."""
        faults = self.no_such_days()
        if self.weight is not None and not isfinite(self.weight):
            faults["weight"] = "A weight is a number from 0 to 5."
        if faults:
            raise ValidationError(faults)
