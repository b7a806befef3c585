"""Nightly runs: what was done for a shop at night, and how far a running one is."""

from django.db import models

from fleet.models import Shop


class NightlyRun(models.Model):
    """One nightly run of one shop for one of its days."""

    shop = models.ForeignKey(Shop, models.CASCADE, related_name="nightly_runs")
    day = models.DateField()
    started_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True)
    stage = models.CharField(max_length=40, blank=True, help_text="what it is at, for the display")
    report = models.JSONField(default=dict, help_text="counts and seconds by stage")

    class Meta:
        ordering = ["-day"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "day"], name="one_nightly_run_a_day")
        ]

    def __str__(self) -> str:
        return f"{self.shop} {self.day}"
