"""A shop's past lived through again: how far it is, and what came of it.

A consequence like any other: it can be dropped, and asked for again from the facts.
"""

from django.db import models

from fleet.models import Person, Shop


class Hindsight(models.Model):
    """One past of one shop, lived again by the worker in short slices.

    state: what has been lived so far, from which the next slice goes on; dropped at the end.
    """

    shop = models.ForeignKey(Shop, models.CASCADE, related_name="hindsights")
    by = models.ForeignKey(Person, models.SET_NULL, null=True, related_name="+")
    first_day = models.DateField()
    last_day = models.DateField()
    seeds = models.PositiveSmallIntegerField(default=3)
    asked_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)
    stopped = models.BooleanField(default=False, help_text="somebody did not want to wait")
    nights_lived = models.PositiveIntegerField(default=0)
    state = models.JSONField(default=dict)
    result = models.JSONField(default=dict, help_text="figures of the book and of the plans")
    said = models.CharField(max_length=400, blank=True, help_text="why nothing came of it")

    class Meta:
        ordering = ["-asked_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["shop"],
                condition=models.Q(ended_at=None),
                name="one_hindsight_at_a_time",
            )
        ]

    def __str__(self) -> str:
        return f"{self.shop} {self.first_day} to {self.last_day}"

    @property
    def nights(self) -> int:
        """How many nights there are to live."""
        return (self.last_day - self.first_day).days + 1
