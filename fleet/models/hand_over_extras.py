"""What is kept with a hand-over beside what is signed: photos, and what is charged."""

from django.db import models

from fleet.models.bookings import HandOver
from fleet.models.struck_facts import StruckFact


class HandOverPhoto(StruckFact):
    """A photo taken as a machine went out or came back.

    The picture lies below `settings.PHOTOS` under its name, made again from what was sent, so that
    nothing but the picture itself is kept: no place, no device (Exif).
    """

    hand_over = models.ForeignKey(HandOver, models.PROTECT, related_name="photos")
    name = models.CharField(max_length=60, unique=True)
    says = models.CharField(max_length=120, blank=True, help_text="what it shows")
    wide = models.PositiveIntegerField()
    high = models.PositiveIntegerField()
    digest = models.CharField(max_length=64, help_text="SHA-256 of what was sent")

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["hand_over", "digest"],
                condition=models.Q(struck_at=None),
                name="a_photo_once_a_hand_over",
            )
        ]

    def __str__(self) -> str:
        return self.says or "photo"


class HandOverCharge(StruckFact):
    """An amount that the customer is charged at a hand-over, and what for."""

    hand_over = models.ForeignKey(HandOver, models.PROTECT, related_name="charges")
    what = models.CharField(max_length=120)
    amount = models.DecimalField(max_digits=9, decimal_places=2)
    form_key = models.CharField(max_length=40, null=True, blank=True, unique=True)

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(amount__gte=0), name="a_charge_is_not_below_zero"
            )
        ]

    def __str__(self) -> str:
        return f"{self.what}: {self.amount}"
