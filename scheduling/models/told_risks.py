"""What a letter told of a booking at risk: one row for each thing that stands against it."""

from django.db import models

from fleet.models import Booking, Hold, Service
from scheduling.models.blocks import Block
from scheduling.models.notices import Notice


class ToldRisk(models.Model):
    """One cause that a letter told, so that no later letter tells it again while it stands.

    A letter of one booking tells all that stands against it, a digest that of many bookings; the
    cause itself is as in `Notice`: a booking, the service or hold, and as what it stands.
    """

    notice = models.ForeignKey(Notice, models.CASCADE, related_name="told_risks")
    booking = models.ForeignKey(Booking, models.CASCADE, related_name="+")
    service = models.ForeignKey(Service, models.SET_NULL, null=True, related_name="+")
    hold = models.ForeignKey(Hold, models.SET_NULL, null=True, related_name="+")
    block_kind = models.CharField(max_length=8, choices=Block.Kind)
    over_at = models.DateTimeField(
        null=True, help_text="when the cause was gone; the same again is told again"
    )

    class Meta:
        indexes = [
            models.Index(
                fields=["booking"], condition=models.Q(over_at=None), name="told_risk_that_stands"
            )
        ]

    def __str__(self) -> str:
        return f"{self.notice}: {self.get_block_kind_display()}"
