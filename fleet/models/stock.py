"""Parts and fluids, what is on the shelf, and what is on its way."""

import math
from datetime import date

from django.core.exceptions import ValidationError
from django.db import models

from fleet.models.people import Person
from fleet.models.places import Shop

NEARLY = 1e-6
"""Pieces or containers that are taken for none, since sums of volumes are not exact."""


class Part(models.Model):
    """A part or a fluid that is kept on the shelf; fluids are counted in mL."""

    class Kind(models.TextChoices):
        """Counted by piece or by volume."""

        PIECE = "piece", "part"
        FLUID = "fluid", "fluid"

    number = models.CharField(max_length=40, unique=True)
    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=8, choices=Kind, default=Kind.PIECE)
    cost = models.DecimalField(
        max_digits=9, decimal_places=2, default=0, help_text="of one piece, or of one litre"
    )
    lead_days = models.PositiveSmallIntegerField(
        "days from ordering", null=True, blank=True, help_text="until it is there; empty: not known"
    )
    container_ml = models.FloatField(
        "a container holds", null=True, blank=True, help_text="of a fluid, in mL; empty: not known"
    )

    class Meta:
        ordering = ["number"]

    def __str__(self) -> str:
        return f"{self.number} {self.name}"

    def whole(self, amount: float) -> float:
        """Return what is bought where so much lacks (pieces or mL).

        That is whole pieces, and whole containers where their size is known.
        """
        if self.kind == self.Kind.PIECE:
            return float(math.ceil(amount - NEARLY))
        size = self.container_ml
        return math.ceil(amount / size - NEARLY) * size if size else amount


class StockMovement(models.Model):
    """What came onto or left a shop's shelf; the sum is what is on hand."""

    class Reason(models.TextChoices):
        """Why the shelf changed."""

        COUNT = "count", "count corrected"
        RECEIVED = "received", "received"
        USED = "used", "used"

    part = models.ForeignKey(Part, models.PROTECT, related_name="movements")
    shop = models.ForeignKey(Shop, models.PROTECT, related_name="movements")
    quantity = models.FloatField(help_text="pieces or mL; below zero for what left")
    reason = models.CharField(max_length=8, choices=Reason)
    at = models.DateTimeField()
    by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True)
    record = models.ForeignKey(
        "fleet.ServiceRecord", models.PROTECT, null=True, blank=True, related_name="parts_used"
    )
    note = models.CharField(max_length=120, blank=True)
    counted = models.FloatField(
        null=True, blank=True, help_text="what was found on the shelf; pieces or mL"
    )
    corrects = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="corrected_by",
        help_text="the movement that this one takes back",
    )  # fmt: skip

    class Meta:
        ordering = ["at"]
        indexes = [models.Index(fields=["shop", "part"], name="movement_by_shop_and_part")]

    def __str__(self) -> str:
        return f"{self.part}: {self.quantity:+g}"


class Delivery(models.Model):
    """Parts on order: how many, and on which day they are expected."""

    part = models.ForeignKey(Part, models.PROTECT, related_name="deliveries")
    shop = models.ForeignKey(Shop, models.PROTECT, related_name="deliveries")
    quantity = models.FloatField(help_text="pieces or mL")
    ordered_on = models.DateField(null=True, blank=True)
    expected_on = models.DateField()
    latest_on = models.DateField(
        "at the latest", null=True, blank=True,
        help_text="if the day can slip: the plan counts on the parts from this day alone",
    )  # fmt: skip
    said_by = models.CharField(
        max_length=80, blank=True, help_text="who gave the days: the maker's desk, the carrier"
    )
    received_at = models.DateTimeField(null=True, blank=True)
    called_off_at = models.DateTimeField(
        null=True, blank=True, editable=False, help_text="when its order was taken back"
    )

    class Meta:
        verbose_name_plural = "deliveries"
        ordering = ["expected_on"]

    def __str__(self) -> str:
        return f"{self.quantity:g} x {self.part} on {self.expected_on}"

    @property
    def counted_from(self) -> date:
        """The day from which a plan may count on the parts."""
        return max(self.expected_on, self.latest_on or self.expected_on)

    def clean(self) -> None:
        """Refuse a latest day before the expected one, and an order of nothing."""
        if self.quantity is not None and not self.quantity > 0:
            raise ValidationError({"quantity": "An order must be for more than zero."})
        if self.expected_on and self.latest_on and self.latest_on < self.expected_on:
            raise ValidationError({"latest_on": "The latest day is before the expected one."})


class DeliveryChange(models.Model):
    """A delivery's days moved; the old ones stay on record."""

    delivery = models.ForeignKey(Delivery, models.PROTECT, related_name="changes")
    old_expected_on = models.DateField()
    new_expected_on = models.DateField()
    old_latest_on = models.DateField(null=True, blank=True)
    new_latest_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=120, blank=True, help_text="who said so, and why")
    by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"{self.delivery.part}: {self.old_expected_on} to {self.new_expected_on}"
