"""Blocks: days on which a machine may not go out, and why."""

from django.db import models

from fleet.models import Booking, Hold, Machine
from scheduling.models.due_points import DuePoint


class Block(models.Model):
    """Days, first and last included, on which a machine may not go out."""

    class Kind(models.TextChoices):
        """Why."""

        HOLD = "hold", "held"
        OVERDUE = "overdue", "service overdue"
        LIMIT = "limit", "hard limit"
        FALLS_DUE = "falls", "falls due while out"
        IN_SHOP = "shop", "in the shop"
        IDLE = "idle", "sat too long"

    machine = models.ForeignKey(Machine, models.CASCADE, related_name="blocks")
    kind = models.CharField(max_length=8, choices=Kind)
    first_day = models.DateField()
    last_day = models.DateField(null=True, help_text="empty: until the cause is gone")
    hard = models.BooleanField(default=False, help_text="nobody can override this")
    due_point = models.ForeignKey(DuePoint, models.CASCADE, null=True, related_name="blocks")
    hold = models.ForeignKey(Hold, models.CASCADE, null=True, related_name="+")
    booking = models.ForeignKey(Booking, models.CASCADE, null=True, related_name="blocks")
    sentence = models.CharField(max_length=400)

    class Meta:
        ordering = ["machine", "first_day"]
        indexes = [models.Index(fields=["machine", "first_day"], name="block_by_machine")]

    def __str__(self) -> str:
        return self.sentence
