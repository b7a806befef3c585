"""What a shop has more or less of for a while: bays, and hours of its people."""

from calendar import isleap
from datetime import date
from math import isfinite

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from fleet.models.parts_of_year import PartOfYear
from fleet.models.places import BACKWARDS, Shop


class BayLoan(models.Model):
    """Bays that a shop has more (borrowed) or fewer (lent away) than usual on some days."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="bay_loans")
    first_day = models.DateField()
    last_day = models.DateField(help_text="the last day itself belongs to the loan")
    bays = models.SmallIntegerField(
        validators=[MinValueValidator(-50), MaxValueValidator(50)],
        help_text="1 is one bay more than usual, -1 one lent away",
    )
    note = models.CharField(max_length=120, blank=True, help_text="lent by or to whom")

    class Meta:
        ordering = ["first_day", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(last_day__gte=models.F("first_day")),
                name="bay_loan_ends_after_it_starts",
                violation_error_message=BACKWARDS,
            )
        ]

    def __str__(self) -> str:
        return f"{self.bays:+d} bays, {self.first_day} to {self.last_day}"

    def clean(self) -> None:
        """Refuse a loan of nothing, one that ends before it starts, and bays that are not there."""
        if self.bays == 0:
            raise ValidationError({"bays": "A loan of 0 bays changes nothing; write 1 or -1."})
        if not (self.first_day and self.last_day):
            return
        if self.last_day < self.first_day:
            raise ValidationError({"last_day": BACKWARDS})
        if self.bays is not None and self.shop_id and self.bays < 0:
            self._refuse_more_than_there_are()

    def _refuse_more_than_there_are(self) -> None:
        """Loans of the same sign add up; so many bays cannot be lent away that none is left to."""
        others = BayLoan.objects.filter(
            shop=self.shop_id,
            bays__lt=0,
            first_day__lte=self.last_day,
            last_day__gte=self.first_day,
        ).exclude(pk=self.pk)
        lent = -self.bays - sum(other.bays for other in others)
        if lent > self.shop.bays:
            raise ValidationError(
                {
                    "bays": f"{lent} bays would be lent away on these days, but {self.shop} has"
                    f" {self.shop.bays}; lend fewer, or change the other loan."
                }
            )


class CapacitySpell(PartOfYear):
    """Days on which a shop's own people work so many times their usual hours, as its owner says.

    Less in the week of haying, more in the month before storage; and more overtime, or none.
    Without a year it comes every year; it may run over new year.  29 Feb as the last day ends it
    on 28 Feb in years without one, as the first day it begins on 1 Mar then.  A spell of one year
    wins over one of every year.
    """

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="capacity_spells")
    reason = models.CharField(max_length=80, help_text="haying, the month before storage, a fair")
    share = models.FloatField(
        validators=[MinValueValidator(0), MaxValueValidator(2)],
        help_text="of everybody's usual hours: 0.5 is half, 1.25 a quarter more, 0 none",
    )
    overtime_limit_hours = models.FloatField(
        "hours of overtime a day",
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(16)],
        help_text="at most, by one person; empty: as on any other day of the shop",
    )
    year = models.PositiveSmallIntegerField(
        null=True, blank=True,
        validators=[MinValueValidator(2000), MaxValueValidator(2200)],
        help_text="in which it begins; empty: every year",
    )  # fmt: skip

    class Meta:
        verbose_name = "busy or slack week"
        verbose_name_plural = "busy and slack weeks"
        ordering = ["first_month", "first_day", "pk"]

    def __str__(self) -> str:
        return f"{self.reason}: {self.share:g} times the usual hours"

    def span_in(self, year: int) -> tuple[date, date] | None:
        """Return first and last day of the spell that begins in a year; None if there is none."""
        if self.year is not None and self.year != year:
            return None
        over = (self.last_month, self.last_day) < (self.first_month, self.first_day)
        first = _day(year, self.first_month, self.first_day, forward=True)
        last = _day(year + over, self.last_month, self.last_day, forward=False)
        return (first, last) if first <= last else None

    def covers(self, day: date) -> bool:
        """Whether a day lies in the spell."""
        spans = (self.span_in(day.year - 1), self.span_in(day.year))
        return any(span is not None and span[0] <= day <= span[1] for span in spans)

    def clean(self) -> None:
        """Refuse a day that no year has, a share that is no number, and two spells on one day."""
        faults = self.no_such_days()
        if self.share is not None and not isfinite(self.share):
            faults["share"] = "A share is a number from 0 to 2."
        if self.overtime_limit_hours is not None and not isfinite(self.overtime_limit_hours):
            faults["overtime_limit_hours"] = "Hours of overtime are a number from 0 to 16."
        if faults:
            raise ValidationError(faults)
        days = (self.first_month, self.first_day, self.last_month, self.last_day)
        if self.shop_id and all(days):
            self._refuse_overlap()

    def _refuse_overlap(self) -> None:
        """Two spells of every year, or of the same year, must not both say how long a day is."""
        others = CapacitySpell.objects.filter(shop=self.shop_id).exclude(pk=self.pk)
        for other in others:
            if (self.year is None) != (other.year is None):
                continue
            if shared := _shared_day(self, other):
                raise ValidationError(
                    f"This spell and “{other.reason}” both hold on {shared:%-d %b}; end one before"
                    " the other begins."
                )


def _day(year: int, month: int, day: int, *, forward: bool) -> date:
    """Return a date; 29 Feb without a leap year is 1 Mar as a beginning, 28 Feb as an end."""
    if (month, day) == (2, 29) and not isleap(year):
        return date(year, 3, 1) if forward else date(year, 2, 28)
    return date(year, month, day)


def _shared_day(one: CapacitySpell, other: CapacitySpell) -> date | None:
    """Return a day on which both hold.  Without years a leap year and its neighbours tell."""
    if one.year is None or other.year is None:
        years = (2023, 2024, 2025)
        spans, others = [one.span_in(y) for y in years], [other.span_in(y) for y in years]
    else:
        spans, others = [one.span_in(one.year)], [other.span_in(other.year)]
    for a in spans:
        for b in others:
            if a and b and max(a[0], b[0]) <= min(a[1], b[1]):
                return max(a[0], b[0])
    return None
