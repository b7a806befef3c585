"""Blocks: days on which a machine may not go out, and why."""

from django.db import models

from fleet.models import Booking, Hold, Machine, MeterKind, Shop
from scheduling.models.due_points import DuePoint


class Block(models.Model):
    """Days, first and last included, on which a machine may not go out.

    It carries what causes it as values; `scheduling.due.block_words` says it in a sentence.
    """

    class Kind(models.TextChoices):
        """Why."""

        HOLD = "hold", "held"
        OVERDUE = "overdue", "service overdue"
        LIMIT = "limit", "hard limit"
        FALLS_DUE = "falls", "falls due while out"
        IN_SHOP = "shop", "in the shop"
        IDLE = "idle", "sat too long"
        RETIRED = "retired", "retired"

    class Reach(models.TextChoices):
        """Where a machine stands to its hard limit."""

        PAST = "past", "past it"
        PERHAPS = "perhaps", "perhaps past it: a reading can tell"
        AHEAD = "ahead", "may reach it on the first day"

    machine = models.ForeignKey(Machine, models.CASCADE, related_name="blocks")
    kind = models.CharField(max_length=8, choices=Kind)
    first_day = models.DateField()
    last_day = models.DateField(null=True, help_text="empty: until the cause is gone")
    hard = models.BooleanField(default=False, help_text="nobody can override this")
    due_point = models.ForeignKey(DuePoint, models.CASCADE, null=True, related_name="blocks")
    hold = models.ForeignKey(Hold, models.CASCADE, null=True, related_name="+")
    booking = models.ForeignKey(Booking, models.CASCADE, null=True, related_name="blocks")
    shop = models.ForeignKey(
        Shop, models.CASCADE, null=True, related_name="+", help_text="where it stands"
    )
    reach = models.CharField(max_length=8, choices=Reach, blank=True)
    meter_kind = models.CharField(max_length=8, choices=MeterKind, blank=True)
    past_by = models.FloatField(
        null=True, help_text="hours, metres or cycles past the end of the window"
    )
    due_day = models.DateField(null=True, help_text="of what is overdue by the calendar")
    works = models.JSONField(
        default=list,
        help_text="services that fall due while out: list of {service, day, planned}, days in ISO",
    )
    minutes = models.PositiveIntegerField(default=0, help_text="of work in the shop")
    begun = models.BooleanField(default=False, help_text="the work is under way")

    class Meta:
        ordering = ["machine", "first_day"]
        indexes = [models.Index(fields=["machine", "first_day"], name="block_by_machine")]

    def __str__(self) -> str:
        return f"{self.machine_id}: {self.get_kind_display()} from {self.first_day}"
