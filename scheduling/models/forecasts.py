"""Forecasts as they were given, and what came true.  All can be rebuilt: `backtest_forecasts`."""

from django.db import models
from django.db.models import Q

from fleet.models import Machine, MachineClass, MeterKind, Service, Shop


class KeptForecast(models.Model):
    """When a meter was to reach a service's due point, as it was said on one day of the yard.

    p10, p50, p90 and simple are days after made_on: 0 is that day or earlier; empty p's lie beyond
    120 days.  Only the meter's side is kept: a calendar date is certain.  One row a machine and
    service in each fortnight of the machine's own (`scheduling.core.verification.fortnight_of`),
    while something is left on the meter and the range begins within 120 days.
    """

    class Outcome(models.TextChoices):
        """What became of it; empty: still open."""

        EARLIER = "earlier", "before its range"
        INSIDE = "inside", "inside its range"
        LATER = "later", "after its range"
        UNREAD = "unread", "not counted: the meter was not read"
        GAP = "gap", "not counted: reached in a gap between readings"

    machine = models.ForeignKey(Machine, models.CASCADE, related_name="kept_forecasts")
    service = models.ForeignKey(Service, models.CASCADE, related_name="+")
    machine_class = models.ForeignKey(MachineClass, models.CASCADE, related_name="+")
    kind = models.CharField(max_length=8, choices=MeterKind)
    made_on = models.DateField()
    due_life = models.FloatField()
    life_then = models.FloatField(help_text="at the last trusted reading of that day")
    low_level = models.FloatField(default=0.1, help_text="chance asked for at p10")
    high_level = models.FloatField(default=0.9, help_text="chance asked for at p90")
    p10 = models.PositiveSmallIntegerField(null=True)
    p50 = models.PositiveSmallIntegerField(null=True)
    p90 = models.PositiveSmallIntegerField(null=True)
    simple = models.PositiveSmallIntegerField(
        null=True, help_text="by the lifetime average of the same readings; 120: beyond"
    )
    settled_on = models.DateField(null=True, help_text="day of the reading that told")
    truth = models.PositiveSmallIntegerField(null=True, help_text="days; 120: then or later")
    outcome = models.CharField(max_length=8, choices=Outcome, blank=True)

    class Meta:
        ordering = ["made_on", "machine", "service"]
        constraints = [
            models.UniqueConstraint(
                fields=["machine", "service", "made_on"], name="one_forecast_kept_a_day"
            )
        ]
        indexes = [
            models.Index(fields=["machine"], condition=Q(outcome=""), name="forecast_still_open"),
            models.Index(fields=["made_on"], name="forecast_by_day"),
        ]

    def __str__(self) -> str:
        return f"{self.machine}: {self.service}, said on {self.made_on}"


class RangeLevels(models.Model):
    """Chances asked for at the ends of a range, from a day on: adjusted from what came true."""

    shop = models.ForeignKey(Shop, models.CASCADE, related_name="range_levels")
    kind = models.CharField(max_length=8, choices=MeterKind)
    holds_from = models.DateField()
    low = models.FloatField(default=0.1)
    high = models.FloatField(default=0.9)
    judged = models.PositiveIntegerField(default=0, help_text="outcomes behind it")

    class Meta:
        ordering = ["shop", "kind", "holds_from"]
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "kind", "holds_from"], name="one_pair_of_levels_a_day"
            )
        ]

    def __str__(self) -> str:
        return f"{self.shop} {self.kind}: {self.low} to {self.high} from {self.holds_from}"
