"""Parts that have to be bought: how many, by when, for what; ordered, and received."""

from datetime import date, timedelta

from django.db import models

from fleet.models.people import Person
from fleet.models.places import Shop
from fleet.models.stock import Delivery, Part, StockMovement

USUAL_LEAD = 3
"""Days that an order takes where the part does not say (our judgement)."""


class OrderLine(models.Model):
    """One part that a shop lacks; each step of it has its time and its person."""

    part = models.ForeignKey(Part, models.PROTECT, related_name="order_lines")
    shop = models.ForeignKey(Shop, models.PROTECT, related_name="order_lines")
    quantity = models.FloatField(help_text="pieces or mL")
    need_by = models.DateField(help_text="day of the first job that takes it")
    for_work = models.CharField(max_length=600, blank=True, help_text="for which jobs, in words")
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    ordered_at = models.DateTimeField(null=True, blank=True)
    ordered_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    delivery = models.OneToOneField(
        Delivery, models.PROTECT, null=True, blank=True, related_name="order_line"
    )
    received_at = models.DateTimeField(null=True, blank=True)
    received_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    movement = models.OneToOneField(
        StockMovement, models.PROTECT, null=True, blank=True, related_name="order_line"
    )
    dropped_at = models.DateTimeField(null=True, blank=True, help_text="not wanted after all")
    dropped_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["need_by", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["part", "shop"],
                condition=models.Q(ordered_at=None, dropped_at=None),
                name="one_open_line_a_part_and_shop",
            )
        ]

    def __str__(self) -> str:
        return f"{self.quantity:g} x {self.part}"

    @property
    def lead_known(self) -> bool:
        """Whether the part says how long an order takes."""
        return self.part.lead_days is not None

    @property
    def order_by(self) -> date:
        """The last day on which it can be ordered and still be there in time."""
        lead = self.part.lead_days if self.part.lead_days is not None else USUAL_LEAD
        return self.need_by - timedelta(days=lead)

    @property
    def state(self) -> str:
        """How far it is: to order, ordered, received, or dropped."""
        if self.dropped_at:
            return "dropped"
        if self.received_at:
            return "received"
        return "ordered" if self.ordered_at else "to order"
