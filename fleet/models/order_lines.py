"""Parts that have to be bought: how many, by when, for what; ordered, and received."""

from datetime import date, timedelta

from django.db import models

from fleet.models.machines import Machine
from fleet.models.people import Person
from fleet.models.places import Shop
from fleet.models.services import Service
from fleet.models.stock import Delivery, Part, StockMovement

ML_OF_A_LITRE = 1000

USUAL_LEAD = 3
"""Days that an order takes where the part does not say (our judgement)."""


class OrderLine(models.Model):
    """One part that a shop lacks; each step of it has its time and its person."""

    part = models.ForeignKey(Part, models.PROTECT, related_name="order_lines")
    shop = models.ForeignKey(Shop, models.PROTECT, related_name="order_lines")
    quantity = models.FloatField(help_text="pieces or mL")
    need_by = models.DateField(help_text="day of the first job that takes it")
    for_work = models.CharField(max_length=600, blank=True, help_text="for which jobs, in words")
    """As lines were kept that name no job."""
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

    waits_from: date | None = None
    """The day of the first job that no substitute covers; where a query has asked for it."""
    nobody_waits = False
    """Whether substitutes cover all of its jobs; where a query has asked for it."""

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
    def to_buy(self) -> float:
        """What is bought: whole pieces and whole containers; of what was ordered, what was."""
        return self.delivery.quantity if self.delivery else self.part.whole(self.quantity)

    @property
    def lead_known(self) -> bool:
        """Whether the part says how long an order takes."""
        return self.part.lead_days is not None

    @property
    def price(self) -> float:
        """What it costs to buy, by the price that the part has now."""
        fluid = self.part.kind == Part.Kind.FLUID
        return float(self.part.cost) * self.quantity / (ML_OF_A_LITRE if fluid else 1)

    @property
    def order_by(self) -> date:
        """The last day on which it can be ordered and still be there in time."""
        lead = self.part.lead_days if self.part.lead_days is not None else USUAL_LEAD
        return self.needed_by - timedelta(days=lead)

    @property
    def needed_by(self) -> date:
        """The day on which its first job takes it that does not take a substitute."""
        return self.waits_from or self.need_by

    @property
    def state(self) -> str:
        """How far it is: to order, ordered, received, or dropped."""
        if self.dropped_at:
            return "dropped"
        if self.received_at:
            return "received"
        return "ordered" if self.ordered_at else "to order"


class OrderedFor(models.Model):
    """A job that a line's part is for: a service of a machine, on a day."""

    line = models.ForeignKey(OrderLine, models.PROTECT, related_name="jobs")
    machine = models.ForeignKey(Machine, models.PROTECT, related_name="parts_ordered")
    service = models.ForeignKey(Service, models.PROTECT, related_name="parts_ordered")
    day = models.DateField(help_text="when the part was asked for: the day of the job")
    planned = models.BooleanField(
        default=True, help_text="it was on a shop day; else the day is the middle of its forecast"
    )
    stands_on: date | None = None
    """The shop day on which the plan has it now; where a query has asked for it."""

    class Meta:
        ordering = ["day", "pk"]
        verbose_name = "job of an order line"
        verbose_name_plural = "jobs of order lines"

    def __str__(self) -> str:
        return f"{self.machine.tag}: {self.service}, {self.stands_on or self.day}"

    @property
    def key(self) -> tuple[int, int, date]:
        """What tells it from another one of the same line."""
        return self.machine_id, self.service_id, self.day
