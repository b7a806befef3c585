"""Decisions that people took about what the schedule said: facts too, with who, when and why.

Work is named by a key that outlives every rebuild of the schedule: see `fleet.work_keys`.
"""

from django.db import models

from fleet.models.bookings import Booking
from fleet.models.machines import Machine
from fleet.models.people import Person
from fleet.models.places import Shop
from fleet.models.services import Service


class Override(models.Model):
    """A machine let out against a block that is not a hard limit.

    TAKEN_BACK: what the change log calls one that was taken back before the machine went.
    """

    TAKEN_BACK = "taken back"

    booking = models.ForeignKey(Booking, models.PROTECT, related_name="overrides")
    machine = models.ForeignKey(Machine, models.PROTECT, related_name="overrides")
    against = models.CharField(max_length=400, help_text="what the block said")
    service = models.ForeignKey(
        Service, models.PROTECT, null=True, blank=True, related_name="+",
        help_text="the service that is not done first; empty: it was about something else",
    )  # fmt: skip
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    struck = models.BooleanField(
        default=False, help_text="taken back, or the check-out for which it was decided was undone"
    )
    seen_at = models.DateTimeField(null=True, blank=True, help_text="when a manager looked at it")
    seen_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    def __str__(self) -> str:
        return f"{self.machine}: {self.reason}"


class Pin(models.Model):
    """Work fixed to a day, and to a mechanic if named, until the pin is lifted."""

    machine = models.ForeignKey(Machine, models.PROTECT, related_name="pins")
    work_key = models.CharField(max_length=120)
    day = models.DateField()
    mechanic = models.ForeignKey(
        Person, models.PROTECT, null=True, blank=True, related_name="pinned_work"
    )
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    lifted_at = models.DateTimeField(null=True, blank=True)
    lifted_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["work_key"], condition=models.Q(lifted_at=None), name="one_pin_at_a_time"
            )
        ]

    def __str__(self) -> str:
        return f"{self.machine} on {self.day}"


class StandingPutOffs(models.Manager["PutOff"]):
    """Those that nobody took back."""

    def get_queryset(self) -> models.QuerySet["PutOff"]:
        """Leave out what was taken back."""
        return super().get_queryset().filter(lifted_at=None)


class PutOff(models.Model):
    """Work that a mechanic put off, and why; it is planned again.

    `objects` are those that stand; `every` are all, those that were taken back too.
    """

    machine = models.ForeignKey(Machine, models.PROTECT, related_name="put_offs")
    work_key = models.CharField(max_length=120)
    day = models.DateField(help_text="the shop day from which it was put off")
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    lifted_at = models.DateTimeField(null=True, blank=True)
    lifted_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    objects = StandingPutOffs()
    every = models.Manager["PutOff"]()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["work_key", "day"],
                condition=models.Q(lifted_at=None),
                name="put_off_once_a_day",
            )
        ]

    def __str__(self) -> str:
        return f"{self.machine}: {self.reason}"


class WorkEstimate(models.Model):
    """What a person says that one piece of work takes this time, until it is done."""

    machine = models.ForeignKey(Machine, models.PROTECT, related_name="estimates")
    work_key = models.CharField(max_length=120)
    minutes = models.PositiveIntegerField()
    reason = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    lifted_at = models.DateTimeField(null=True, blank=True)
    lifted_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["work_key"],
                condition=models.Q(lifted_at=None),
                name="one_estimate_at_a_time",
            )
        ]

    def __str__(self) -> str:
        return f"{self.machine}: {self.minutes} min"


class Release(models.Model):
    """A plan published to the mechanics: which work on which day by whom, as it was then.

    jobs: list of {"work_key", "day" (ISO date), "mechanic" (username)}.
    """

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="releases")
    at = models.DateTimeField()
    by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    first_day = models.DateField()
    last_day = models.DateField()
    jobs = models.JSONField(default=list)

    class Meta:
        ordering = ["-at"]

    def __str__(self) -> str:
        return f"{self.shop}: {self.first_day} to {self.last_day}"
