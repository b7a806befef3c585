"""Bookings: promises of a machine, and its going out and coming back."""

from collections.abc import Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

from fleet.booked_times import PromisedDays
from fleet.models.hires import Hire
from fleet.models.machines import Machine
from fleet.models.meters import Reading
from fleet.models.people import Person


class Booking(models.Model):
    """A promise of a machine to a customer or a ranch job, first and last day included.

    Days and times of day are the yard's; without a time the whole day is meant.  `starts_at` and
    `ends_at` are the moments between which nobody else can have the machine, the end left out:
    they follow from the rest, and `fleet.actions.keep_times` alone writes them.  That two standing
    bookings of a machine never share a moment is kept by the database itself (migration
    `promise_a_machine_once`): NEVER_TWICE is the name under which it refuses.
    """

    NEVER_TWICE = "booking_never_overlaps"

    machine = models.ForeignKey(Machine, models.PROTECT, related_name="bookings")
    hire = models.ForeignKey(
        Hire, models.PROTECT, null=True, blank=True, related_name="bookings",
        help_text="the booking as the customer made it, of which this is one machine",
    )  # fmt: skip
    first_day = models.DateField()
    last_day = models.DateField()
    from_time = models.TimeField(null=True, blank=True)
    to_time = models.TimeField(null=True, blank=True)
    starts_at = models.DateTimeField(editable=False)
    ends_at = models.DateTimeField(
        editable=False, help_text="with the turn-round of its class behind it"
    )
    stood_double = models.BooleanField(
        default=False,
        editable=False,
        help_text="stood across another already when that became impossible",
    )
    customer = models.CharField(max_length=120, help_text="or the ranch job")
    value = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    hours_a_day = models.FloatField(
        "use a day, in hours", null=True, blank=True,
        help_text="how long it is to run a day, as the customer says",
    )  # fmt: skip
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    cancelled_at = models.DateTimeField(null=True, blank=True)
    cancelled_by = models.ForeignKey(
        Person, models.PROTECT, null=True, blank=True, related_name="+"
    )
    form_key = models.CharField(max_length=40, null=True, blank=True, unique=True)

    class Meta:
        ordering = ["first_day"]
        indexes = [
            models.Index(fields=["machine", "first_day"], name="booking_by_machine"),
            models.Index(fields=["machine", "ends_at"], name="booking_by_end"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(last_day__gte=models.F("first_day")),
                name="booking_ends_after_it_starts",
                violation_error_message="The last day is before the first.",
            ),
            models.CheckConstraint(
                condition=models.Q(ends_at__gte=models.F("starts_at")),
                name="booking_ends_at_after_it_starts_at",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.machine}: {self.customer} {self.first_day} to {self.last_day}"

    @property
    def days(self) -> PromisedDays:
        """Its days and times of day, in the yard's zone."""
        return PromisedDays(self.first_day, self.last_day, self.from_time, self.to_time)

    def clean(self) -> None:
        """Refuse a booking that ends before it starts."""
        if self.first_day and self.last_day and self.last_day < self.first_day:
            raise ValidationError({"last_day": "The last day is before the first."})


class BookingChange(models.Model):
    """A booking's last day moved: put off, shortened, or brought back early or late."""

    booking = models.ForeignKey(Booking, models.PROTECT, related_name="changes")
    old_last_day = models.DateField()
    new_last_day = models.DateField()
    reason = models.CharField(max_length=120, blank=True)
    by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["at"]

    def __str__(self) -> str:
        return f"{self.booking.machine}: {self.old_last_day} to {self.new_last_day}"


class StandingHandOvers(models.Manager["HandOver"]):
    """The hand-overs that nobody struck or put right: those that happened, as far as is known."""

    def get_queryset(self) -> models.QuerySet["HandOver"]:
        """Leave out what was struck, so that no query counts it by mistake."""
        return super().get_queryset().filter(struck_at=None)


class HandOver(models.Model):
    """A machine going out or coming back: reading, walk-round, who and when.

    `objects`, and `hand_overs` of a booking, are those that stand; `every` are all.  A join over
    the table (`filter(hand_overs__...)`) passes the manager by and has to ask for `struck_at`.
    """

    class Direction(models.TextChoices):
        """Out or back."""

        OUT = "out", "check-out"
        BACK = "back", "return"

    booking = models.ForeignKey(Booking, models.PROTECT, related_name="hand_overs")
    direction = models.CharField(max_length=4, choices=Direction)
    at = models.DateTimeField()
    by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    readings = models.ManyToManyField(Reading, blank=True)
    form_key = models.CharField(
        max_length=40,
        blank=True,
        help_text="of the form by which it was made; readings typed on it begin theirs with it",
    )
    walk_round = models.JSONField(default=dict, blank=True, help_text="point looked at -> in order")
    note = models.CharField(max_length=300, blank=True)
    level = models.FloatField(null=True, blank=True, help_text="of fuel or charge: 0 empty, 1 full")
    accessories = models.JSONField(
        default=dict, blank=True, help_text="what goes with it -> whether it went, or came back"
    )
    taken_by = models.CharField(
        max_length=120, blank=True, help_text="who took it, or brought it back"
    )
    signature = models.TextField(
        blank=True, help_text="strokes of who took it, as a path of SVG 2 on 600 by 200 units"
    )
    our_signature = models.TextField(blank=True, help_text="the same of who stood at the counter")
    use_said = models.CharField(max_length=200, blank=True, help_text="what it is used for")
    hours_a_day = models.FloatField(
        null=True, blank=True, help_text="how long it is to run a day, as the customer says"
    )
    corrects = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="corrected_by"
    )
    struck_at = models.DateTimeField(
        null=True, blank=True, help_text="when it was undone, or put right by another"
    )
    struck_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    struck_why = models.CharField(max_length=200, blank=True)
    just_hung: Sequence[Any] = ()
    """The holds that were hung as it was made, on the very value that made it."""

    objects = StandingHandOvers()
    every = models.Manager["HandOver"]()

    class Meta:
        ordering = ["at"]
        constraints = [
            models.UniqueConstraint(
                fields=["booking", "direction"],
                condition=models.Q(struck_at=None),
                name="out_once_and_back_once",
            )
        ]

    def __str__(self) -> str:
        return f"{self.booking}: {self.get_direction_display()}"
