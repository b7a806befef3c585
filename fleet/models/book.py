"""The service book: what was done to a machine.  Facts, never rewritten."""

from collections.abc import Mapping
from typing import Any

from django.db import models

from fleet.models.machines import Machine
from fleet.models.meters import Meter
from fleet.models.people import Person
from fleet.models.procedures import DoneText
from fleet.models.services import Limit, Service


class ServiceRecord(models.Model):
    """One service (or a repair, without a service) done to a machine."""

    machine = models.ForeignKey(Machine, models.PROTECT, related_name="records")
    service = models.ForeignKey(
        Service, models.PROTECT, null=True, blank=True, related_name="records"
    )
    done_at = models.DateTimeField()
    done_by = models.ForeignKey(
        Person, models.PROTECT, null=True, blank=True, related_name="work_done"
    )
    minutes = models.PositiveSmallIntegerField(null=True, blank=True)
    note = models.TextField(blank=True)
    left_out = models.CharField(
        max_length=200, blank=True, default="",
        help_text="numbers of services that it covers and that were not done this time",
    )  # fmt: skip
    cost = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    entered_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    entered_at = models.DateTimeField()
    corrects = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="corrected_by"
    )
    void = models.BooleanField(
        default=False, help_text="a correction that says: this was not done after all"
    )
    form_key = models.CharField(
        max_length=40,
        null=True,
        blank=True,
        unique=True,
        help_text="made with the form, so that a form sent twice is one record",
    )  # null, not "": many records have none, and each key is unique

    done_text = models.ForeignKey(
        DoneText, models.PROTECT, null=True, blank=True, related_name="records",
        help_text="the steps as they stood when it was done",
    )  # fmt: skip

    answered: Mapping[str, int]
    """How many of its steps had which answer; set where the book is read, no column."""

    just_found: "list[Any] | None" = None
    """The findings that were noted since it was written, on the very value that wrote it."""

    class Meta:
        ordering = ["-done_at"]
        indexes = [models.Index(fields=["machine", "service"], name="record_by_machine")]

    def __str__(self) -> str:
        return f"{self.machine}: {self.service or 'repair'} {self.done_at:%Y-%m-%d}"

    @property
    def services_left_out(self) -> frozenset[int]:
        """Keys of the services that it covers and that were not done this time."""
        return numbers_in(self.left_out)


def numbers_in(left_out: str) -> frozenset[int]:
    """Return the keys that stand in a record's `left_out`."""
    return frozenset(map(int, left_out.split()))


class RecordedMeter(models.Model):
    """What a meter showed when a service was done."""

    record = models.ForeignKey(ServiceRecord, models.PROTECT, related_name="meters")
    meter = models.ForeignKey(Meter, models.PROTECT, related_name="+")
    value = models.FloatField(help_text="hours, metres or cycles")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["record", "meter"], name="one_value_a_meter")
        ]

    def __str__(self) -> str:
        return f"{self.value:g}"


class Measurement(models.Model):
    """A value measured at a service against one of its limits."""

    record = models.ForeignKey(ServiceRecord, models.PROTECT, related_name="measurements")
    limit = models.ForeignKey(Limit, models.PROTECT, related_name="measurements")
    value = models.FloatField()
    place = models.CharField(
        max_length=60, blank=True, default="", help_text="where: front left; empty: measured once"
    )

    def __str__(self) -> str:
        where = f", {self.place}" if self.place else ""
        return f"{self.limit}{where}: {self.value:g} {self.limit.unit}".strip()
