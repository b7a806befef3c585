"""Where machines live and where work is done: yards, shops, their hours and closed days."""

import zoneinfo
from datetime import date, datetime, time, timedelta
from functools import lru_cache

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

WEEKDAYS = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"]
WEEKDAY_CHOICES = list(enumerate(WEEKDAYS))
BACKWARDS = "The last day is before the first; swap them or correct one."


def check_time_zone(name: str) -> None:
    """Refuse a time zone that the IANA database does not know."""
    try:
        zoneinfo.ZoneInfo(name)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise ValidationError(
            f"{name!r} is not a time zone; write one as America/Denver or Europe/Zurich."
        ) from error


@lru_cache(maxsize=512)  # asked of each row of a file and each line of a list
def zone_named(name: str) -> zoneinfo.ZoneInfo:
    """Return a time zone; UTC for a name that is no longer known, so that every page still opens.

    Such a name can come with an older database or a newer list of zones; the night says so.
    """
    try:
        return zoneinfo.ZoneInfo(name)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
        return zoneinfo.ZoneInfo("UTC")


class Units(models.TextChoices):
    """How quantities are shown; they are stored in SI."""

    US = "us", "US (miles, quarts)"
    METRIC = "metric", "Metric (kilometres, litres)"


class Shop(models.Model):
    """A place where work is done: mechanics, bays, opening hours; may serve several yards."""

    class Overrules(models.TextChoices):
        """Who may send a machine out against a block that is neither a hard limit nor a hold."""

        DESK = "desk", "the desk, and managers"
        MANAGER = "manager", "managers alone"

    name = models.CharField(max_length=80, unique=True)
    time_zone = models.CharField(max_length=64, default="UTC", validators=[check_time_zone])
    units = models.CharField(max_length=8, choices=Units, default=Units.US)
    bays = models.PositiveSmallIntegerField(default=2, help_text="machines that can stand inside")
    nightly_at = models.TimeField(default=time(2), help_text="when the nightly run starts, local")
    look_ahead_days = models.PositiveSmallIntegerField(
        default=14, help_text="a service that falls due within these days is coming due"
    )
    warn_days = models.PositiveSmallIntegerField(
        default=3, help_text="days before check-out on which the desk is warned"
    )
    horizon_days = models.PositiveSmallIntegerField(
        default=28, validators=[MinValueValidator(1), MaxValueValidator(120)]
    )
    frozen_days = models.PositiveSmallIntegerField(
        default=1, help_text="first days of the plan that take no new work by themselves"
    )
    overtime_limit_hours = models.FloatField(default=2, validators=[MinValueValidator(0)])
    overtime_cost_per_hour = models.FloatField(default=66, validators=[MinValueValidator(0)])
    overrules = models.CharField(
        "who goes against a block", max_length=8, choices=Overrules, default=Overrules.DESK,
        help_text="never a hard limit or a hold; with a reason, for one booking alone",
    )  # fmt: skip

    def __str__(self) -> str:
        return self.name

    @property
    def zone(self) -> zoneinfo.ZoneInfo:
        """The shop's time zone; its days are the days of the plan."""
        return zone_named(self.time_zone)

    def span_of(self, day: date) -> tuple[datetime, datetime]:
        """Return the moments at which a day of the shop begins and the next one does."""
        start = datetime.combine(day, time(), self.zone)
        return start, datetime.combine(day + timedelta(days=1), time(), self.zone)


class ShopHours(models.Model):
    """Opening hours of a shop on one day of the week; no row means closed."""

    shop = models.ForeignKey(Shop, models.CASCADE, related_name="hours")
    weekday = models.PositiveSmallIntegerField(choices=WEEKDAY_CHOICES)
    opens = models.TimeField()
    closes = models.TimeField()

    class Meta:
        verbose_name_plural = "shop hours"
        ordering = ["shop", "weekday"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "weekday"], name="one_row_a_weekday"),
            models.CheckConstraint(
                condition=models.Q(closes__gt=models.F("opens")),
                name="shop_closes_after_it_opens",
                violation_error_message="The shop must close after it opens.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.opens:%H:%M}-{self.closes:%H:%M}"


class Yard(models.Model):
    """A place where machines live, with its own time zone, units and way to its shop."""

    name = models.CharField(max_length=80, unique=True)
    shop = models.ForeignKey(Shop, models.PROTECT, related_name="yards")
    time_zone = models.CharField(max_length=64, default="UTC", validators=[check_time_zone])
    units = models.CharField(max_length=8, choices=Units, default=Units.US)
    remote = models.BooleanField(
        default=False, help_text="the mechanic drives to the machines; they do not come to the shop"
    )
    travel_hours = models.FloatField(
        default=0, validators=[MinValueValidator(0)], help_text="there and back, hours"
    )
    trip_cost = models.FloatField(default=0, validators=[MinValueValidator(0)])
    duty_factor = models.FloatField(
        default=1,
        validators=[MinValueValidator(0.1), MaxValueValidator(2)],
        help_text="dust, mud, water: 0.5 makes meter intervals half as long",
    )

    def __str__(self) -> str:
        return self.name

    @property
    def zone(self) -> zoneinfo.ZoneInfo:
        """The yard's time zone; a due date is a date of the yard."""
        return zone_named(self.time_zone)


class ClosedDay(models.Model):
    """A day on which a shop does not work; with a yard, only that yard is shut."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="closed_days")
    yard = models.ForeignKey(
        Yard, models.PROTECT, null=True, blank=True, related_name="closed_days",
        help_text="empty: the whole shop; a remote yard: nobody drives there on that day",
    )  # fmt: skip
    day = models.DateField()
    reason = models.CharField(max_length=120, blank=True)
    by = models.ForeignKey(
        "fleet.Person", models.PROTECT, null=True, editable=False, related_name="+"
    )
    at = models.DateTimeField(null=True, editable=False)

    class Meta:
        ordering = ["day"]
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "day"],
                condition=models.Q(yard=None),
                name="shop_closed_once_a_day",
            ),
            models.UniqueConstraint(
                fields=["yard", "day"],
                condition=models.Q(yard__isnull=False),
                name="yard_closed_once_a_day",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.day} {self.reason}".strip()

    def clean(self) -> None:
        """Refuse a yard of another shop."""
        if self.yard and self.shop_id and self.yard.shop_id != self.shop_id:
            raise ValidationError({"yard": f"{self.yard} belongs to another shop."})
