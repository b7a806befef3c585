"""Machines: identity, home, alterations and times in storage."""

from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.urls import reverse

from fleet.models.makeups import MakeUp
from fleet.models.people import Person
from fleet.models.places import Yard

TAG_AS_IN_ADDRESSES = RegexValidator(
    r"^[^/?#\s]([^/?#]*[^/?#\s])?$",
    "A tag stands in the address of its machine's page: no /, ? or #, no blank at its ends.",
)


class Machine(models.Model):
    """One physical unit, known by its fleet tag and its serial number."""

    tag = models.CharField(max_length=20, unique=True, validators=[TAG_AS_IN_ADDRESSES])
    serial = models.CharField(
        max_length=40, blank=True, help_text="VIN, PIN or maker's serial, as on the frame"
    )
    serial_unreadable = models.BooleanField(
        default=False, help_text="the number on the frame can no longer be read"
    )
    plate = models.CharField(
        "number plate", max_length=20, blank=True, help_text="as on the road, where it has one"
    )
    makeup = models.ForeignKey(MakeUp, models.PROTECT, related_name="machines")
    yard = models.ForeignKey(Yard, models.PROTECT, related_name="machines")
    year = models.PositiveSmallIntegerField("model year", null=True, blank=True)
    started_on = models.DateField(
        null=True, blank=True, help_text="first day of work; first intervals count from here"
    )
    retired_on = models.DateField(null=True, blank=True)
    retired_why = models.CharField(max_length=200, blank=True, help_text="sold, scrapped, lost")
    merged_into = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, editable=False, related_name="merged",
        help_text="the entry that stays, where one machine stood in the books twice",
    )  # fmt: skip
    day_rate = models.DecimalField(
        max_digits=9, decimal_places=2, null=True, blank=True, help_text="empty: that of its class"
    )
    duty_factor = models.FloatField(
        default=1,
        validators=[MinValueValidator(0.1), MaxValueValidator(2)],
        help_text="dust, mud, water: 0.5 makes meter intervals half as long",
    )
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["tag"]

    def __str__(self) -> str:
        return self.tag

    def get_absolute_url(self) -> str:
        """The machine's own page."""
        return reverse("machine", args=[self.tag])


class Alteration(models.Model):
    """How a machine differs from its make-up: what was changed, and which service it slows."""

    machine = models.ForeignKey(Machine, models.CASCADE, related_name="alterations")
    fitted_on = models.DateField(null=True, blank=True)
    text = models.CharField(max_length=200)
    slows = models.ForeignKey(
        "fleet.Service", models.SET_NULL, null=True, blank=True, related_name="slowed_by"
    )
    extra_minutes = models.PositiveSmallIntegerField(default=0)
    noted_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True)
    noted_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.text


class Storage(models.Model):
    """Days on which a machine stands stored: its meter rests, its calendar does not."""

    machine = models.ForeignKey(Machine, models.CASCADE, related_name="storages")
    first_day = models.DateField()
    last_day = models.DateField(null=True, blank=True)
    reason = models.CharField(max_length=120, blank=True)

    class Meta:
        verbose_name_plural = "storage periods"
        ordering = ["first_day"]

    def __str__(self) -> str:
        return f"{self.machine}: stored from {self.first_day}"
