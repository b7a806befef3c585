"""Hires: what a customer, or a job within the house, books at once; and classes not yet chosen.

The machines of a hire are its bookings (`Booking.hire`), each with days, check-out, return and end
of its own.  A class of which any machine will do is a `ClassLine` until a machine is chosen.
"""

from typing import Any

from django.db import models

from fleet.booked_times import PromisedDays
from fleet.folded_names import name_key
from fleet.models.customers import Customer
from fleet.models.makeups import MachineClass
from fleet.models.people import Person
from fleet.models.places import Yard

SOUGHT = 400
"""Characters of site and purpose as they are sought."""


class Hire(models.Model):
    """A booking as a customer makes it, known by its number: who, where, what for.

    A job within the house has no customer; its purpose says which job it is.
    sought: site and purpose as they are found again, kept by `save`.
    """

    customer = models.ForeignKey(
        Customer, models.PROTECT, null=True, blank=True, related_name="hires"
    )
    in_house = models.BooleanField("ranch job", default=False, help_text="a job within the house")
    site = models.CharField(max_length=120, blank=True, help_text="where the machines work")
    purpose = models.CharField(max_length=120, blank=True, help_text="what they are for")
    notes = models.CharField(max_length=500, blank=True)
    sought = models.CharField(max_length=SOUGHT, blank=True, editable=False)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    form_key = models.CharField(max_length=40, null=True, blank=True, unique=True)

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(in_house=True) | models.Q(customer__isnull=False),
                name="a_hire_is_for_somebody",
            )
        ]

    def __str__(self) -> str:
        return f"{self.pk} for {self.who}"

    def save(self, *args: Any, **more: Any) -> None:
        """Save, with what is sought in."""
        self.keyed()
        if (fields := more.get("update_fields")) is not None:
            more["update_fields"] = {*fields, "sought"}
        super().save(*args, **more)

    @property
    def who(self) -> str:
        """For whom it is: the customer, or the job within the house."""
        return self.customer.name if self.customer else self.purpose or "ranch job"

    def keyed(self) -> "Hire":
        """Set what is sought in, as `save` does; for rows written many at once."""
        said = (name_key(text) for text in (self.site, self.purpose) if text)
        self.sought = " ".join(said)[:SOUGHT]
        return self


NO_MACHINE = models.Q(booking=None) | models.Q(booking__cancelled_at__isnull=False)
"""No machine stands for a class line: none was chosen, or the one that was is called off."""


class ClassLine(models.Model):
    """Any machine of a class, promised on a hire; booking: the machine chosen for it since.

    It is open while no machine stands for it (`NO_MACHINE`) and it is not called off.
    """

    hire = models.ForeignKey(Hire, models.PROTECT, related_name="class_lines")
    machine_class = models.ForeignKey(MachineClass, models.PROTECT, related_name="class_lines")
    yard = models.ForeignKey(Yard, models.PROTECT, related_name="class_lines")
    first_day = models.DateField()
    last_day = models.DateField()
    from_time = models.TimeField(null=True, blank=True)
    to_time = models.TimeField(null=True, blank=True)
    value = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    booking = models.OneToOneField(
        "fleet.Booking", models.PROTECT, null=True, blank=True, related_name="class_line"
    )
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    cancelled_at = models.DateTimeField(null=True, blank=True)
    cancelled_by = models.ForeignKey(
        Person, models.PROTECT, null=True, blank=True, related_name="+"
    )
    form_key = models.CharField(max_length=40, null=True, blank=True, unique=True)

    class Meta:
        ordering = ["first_day", "pk"]
        indexes = [
            models.Index(
                fields=["machine_class", "first_day"],
                condition=models.Q(booking=None, cancelled_at=None),
                name="class_line_open",
            )
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(last_day__gte=models.F("first_day")),
                name="class_line_ends_after_it_starts",
            )
        ]

    def __str__(self) -> str:
        return f"{self.machine_class}: {self.hire.who} {self.first_day} to {self.last_day}"

    @property
    def days(self) -> PromisedDays:
        """Its days and times of day, in the yard's zone."""
        return PromisedDays(self.first_day, self.last_day, self.from_time, self.to_time)


class Waiting(models.Model):
    """A customer who waits for a class, or for one machine, to come free on some days.

    It is over once it has become a booking, or was taken off the list.
    told_at: when the desk was told that something is free; one that is taken again before the
    desk has booked it is told anew when it comes free the next time (`told_at` is emptied then).
    """

    customer = models.ForeignKey(Customer, models.PROTECT, related_name="waits")
    machine_class = models.ForeignKey(MachineClass, models.PROTECT, related_name="waits")
    machine = models.ForeignKey(
        "fleet.Machine", models.PROTECT, null=True, blank=True, related_name="waits"
    )
    yard = models.ForeignKey(Yard, models.PROTECT, related_name="waits")
    first_day = models.DateField()
    last_day = models.DateField()
    from_time = models.TimeField(null=True, blank=True)
    to_time = models.TimeField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    told_at = models.DateTimeField(null=True, blank=True)
    over_at = models.DateTimeField(null=True, blank=True)
    over_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    booking = models.ForeignKey(
        "fleet.Booking", models.PROTECT, null=True, blank=True, related_name="+"
    )
    form_key = models.CharField(max_length=40, null=True, blank=True, unique=True)

    class Meta:
        ordering = ["first_day", "made_at"]
        indexes = [
            models.Index(
                fields=["machine_class", "first_day"],
                condition=models.Q(over_at=None),
                name="waiting_still",
            )
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(last_day__gte=models.F("first_day")),
                name="a_wait_ends_after_it_starts",
            )
        ]

    def __str__(self) -> str:
        what = self.machine or self.machine_class
        return f"{self.customer} waits for {what} {self.first_day} to {self.last_day}"

    @property
    def days(self) -> PromisedDays:
        """The days and times of day that are wanted, in the yard's zone."""
        return PromisedDays(self.first_day, self.last_day, self.from_time, self.to_time)
