"""Notices: messages to people, each made once for one cause and kept until it is sent."""

from django.db import models

from fleet.models import Booking, Machine, Person, Shop


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
