"""What has to be done behind the pages, and what was done at night.

The database is the list, the queue is a doorbell: an errand is a row before any task is sent, so
a lost or doubled message of the queue loses and doubles nothing.
"""

from django.db import models

from fleet.models import Booking, Machine, Person, Shop


class Errand(models.Model):
    """One thing owed by the worker: a nightly run, a machine to re-compute, a plan, a notice."""

    class Kind(models.TextChoices):
        """What is owed."""

        NIGHTLY = "nightly", "nightly run"
        REFRESH = "refresh", "machine to re-compute"
        SEND = "send", "notice to send"
        REPLAN = "replan", "shop to plan again"
        TRIAL = "trial", "trial to work out"

    key = models.CharField(max_length=160, unique=True, help_text="what makes it the same errand")
    kind = models.CharField(max_length=8, choices=Kind)
    payload = models.JSONField(default=dict)
    due_at = models.DateTimeField()
    leased_until = models.DateTimeField(null=True)
    attempts = models.PositiveIntegerField(default=0)
    done_at = models.DateTimeField(null=True)
    failed_at = models.DateTimeField(null=True, help_text="given up for good")
    error = models.CharField(max_length=500, blank=True)
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["due_at"]
        indexes = [
            models.Index(
                fields=["due_at"],
                condition=models.Q(done_at=None, failed_at=None),
                name="errand_owed",
            )
        ]

    def __str__(self) -> str:
        return self.key


class Notice(models.Model):
    """A message to one person, made once for one cause, kept until the mail server has taken it."""

    class Kind(models.TextChoices):
        """What it is about."""

        MORNING = "morning", "morning summary"
        AT_RISK = "risk", "booking at risk"
        DAY_LIST = "list", "list for the day"
        CHANGED = "changed", "published list changed"
        UNDELIVERED = "undelivered", "a notice that could not be delivered"

    key = models.CharField(max_length=160, unique=True, help_text="the cause and the person")
    kind = models.CharField(max_length=12, choices=Kind)
    person = models.ForeignKey(Person, models.CASCADE, related_name="notices")
    shop = models.ForeignKey(Shop, models.CASCADE, related_name="+")
    machine = models.ForeignKey(Machine, models.CASCADE, null=True, related_name="+")
    booking = models.ForeignKey(Booking, models.CASCADE, null=True, related_name="+")
    subject = models.CharField(max_length=200)
    text = models.TextField()
    html = models.TextField()
    made_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True)
    failed_at = models.DateTimeField(null=True)
    error = models.CharField(max_length=300, blank=True)
    over_at = models.DateTimeField(
        null=True, help_text="when the cause was gone; the same again is a new cause"
    )

    class Meta:
        ordering = ["-made_at"]
        indexes = [
            models.Index(
                fields=["shop"],
                condition=models.Q(kind="risk", over_at=None),
                name="notice_of_open_risk",
            )
        ]

    def __str__(self) -> str:
        return self.subject

    @property
    def status(self) -> str:
        """Where it stands, in words; error says why it was not sent."""
        if self.sent_at:
            return "sent"
        return "not sent" if self.failed_at else "waiting"


class NightlyRun(models.Model):
    """One nightly run of one shop for one of its days."""

    shop = models.ForeignKey(Shop, models.CASCADE, related_name="nightly_runs")
    day = models.DateField()
    started_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True)
    stage = models.CharField(max_length=40, blank=True, help_text="what it is at, for the display")
    report = models.JSONField(default=dict, help_text="counts and seconds by stage")

    class Meta:
        ordering = ["-day"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "day"], name="one_nightly_run_a_day")
        ]

    def __str__(self) -> str:
        return f"{self.shop} {self.day}"
