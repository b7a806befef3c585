"""Notices: messages to people, each made once for one cause and kept until it is sent."""

from uuid import uuid4

from django.db import models

from fleet.models import (
    Booking,
    Hold,
    Machine,
    Override,
    Person,
    Release,
    Service,
    Shop,
    Waiting,
)
from scheduling.models.blocks import Block


class Notice(models.Model):
    """A message to one person, made once for one cause, kept until the mail server has taken it.

    Its cause is its kind and what it is about: a day of the shop, a publishing, a notice that
    could not be delivered; a hold that is hung or released; a decision against a block; somebody
    who waits; a booking whose machine is not back; or a booking, the service or hold that stands
    against it, and as what.
    The cause can go and come again, and is told again then: that is its next round.
    """

    class Kind(models.TextChoices):
        """What it is about."""

        MORNING = "morning", "morning summary"
        AT_RISK = "risk", "booking at risk"
        DAY_LIST = "list", "list for the day"
        HELD = "held", "hold placed"
        RELEASED = "released", "hold released"
        OVERRIDE = "override", "sent out despite a block"
        CHANGED = "changed", "published list changed"
        FREE = "free", "free for somebody who waits"
        LATE = "late", "machine not back in time"
        UNDELIVERED = "undelivered", "a notice that could not be delivered"
        OVERDUE = "overdue", "newly overdue"
        PARTS = "parts", "parts to order"
        READING = "reading", "reading wanted"
        TREND = "trend", "measured wear at its limit"
        NIGHT = "night", "a night late or failed"
        UNANSWERED = "unanswered", "a warning that nobody answered"
        DIGEST = "digest", "letter of the morning"
        PASSWORD = "password", "new password asked for"

    kind = models.CharField(max_length=12, choices=Kind)
    person = models.ForeignKey(Person, models.CASCADE, related_name="notices")
    shop = models.ForeignKey(Shop, models.CASCADE, related_name="+")
    machine = models.ForeignKey(Machine, models.CASCADE, null=True, related_name="+")
    booking = models.ForeignKey(Booking, models.CASCADE, null=True, related_name="+")
    day = models.DateField(null=True, help_text="of the summary or the list")
    release = models.ForeignKey(Release, models.SET_NULL, null=True, related_name="+")
    about = models.ForeignKey(
        "self", models.SET_NULL, null=True, related_name="+", help_text="what was not delivered"
    )
    block_kind = models.CharField(max_length=8, choices=Block.Kind, blank=True)
    service = models.ForeignKey(Service, models.SET_NULL, null=True, related_name="+")
    hold = models.ForeignKey(Hold, models.SET_NULL, null=True, related_name="+")
    override = models.ForeignKey(Override, models.SET_NULL, null=True, related_name="+")
    waiting = models.ForeignKey(Waiting, models.SET_NULL, null=True, related_name="+")
    round = models.PositiveIntegerField(
        default=0, help_text="how often the same cause had come and gone before"
    )
    mark = models.UUIDField(default=uuid4, unique=True, help_text="names the message for good")
    subject = models.CharField(max_length=200)
    text = models.TextField()
    html = models.TextField()
    made_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True)
    failed_at = models.DateTimeField(null=True)
    error = models.CharField(max_length=300, blank=True)
    tells = models.JSONField(
        default=list, help_text="keys of what it told, so that it is told again only when worse"
    )
    answered_at = models.DateTimeField(null=True, help_text="its reader said that it is in hand")
    kept_here_at = models.DateTimeField(
        null=True, help_text="not mailed by itself, as its reader chose"
    )
    told_in = models.ForeignKey(
        "self", models.SET_NULL, null=True, related_name="gathered",
        help_text="the letter of the morning that told it",
    )  # fmt: skip
    over_at = models.DateTimeField(
        null=True, help_text="when the cause was gone; the same again is a new round"
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
        # once for each cause, person and round; a column that is null holds nothing apart, so each
        # constraint speaks of the notices that have its cause and of no others
        constraints = [
            models.UniqueConstraint(
                fields=["day", "shop", "kind", "person", "round"], name="notice_once_a_day"
            ),
            models.UniqueConstraint(
                fields=["release", "person", "round"], name="notice_once_a_release"
            ),
            models.UniqueConstraint(
                fields=["about", "person", "round"], name="notice_once_an_undelivered"
            ),
            models.UniqueConstraint(
                fields=["waiting", "person", "round"], name="notice_once_a_wait"
            ),
            models.UniqueConstraint(
                fields=["booking", "service", "block_kind", "person", "round"],
                name="notice_once_a_booked_service",
            ),
            models.UniqueConstraint(
                fields=["booking", "hold", "block_kind", "person", "round"],
                name="notice_once_a_booked_hold",
            ),
            models.UniqueConstraint(
                fields=["booking", "person", "round"],
                condition=models.Q(block_kind="retired"),
                name="notice_once_a_retired_one",
            ),
            models.UniqueConstraint(
                fields=["hold", "kind", "person", "round"],
                condition=models.Q(kind__in=["held", "released"]),
                name="notice_once_an_end_of_a_hold",
            ),
            models.UniqueConstraint(
                fields=["booking", "person", "round"],
                condition=models.Q(kind="late"),
                name="notice_once_a_late_one",
            ),
            models.UniqueConstraint(
                fields=["override", "person", "round"], name="notice_once_an_override"
            ),
        ]

    def __str__(self) -> str:
        return self.subject

    @property
    def status(self) -> str:
        """Where it stands, in words; error says why it was not sent."""
        if self.sent_at:
            return "sent"
        if self.told_in is not None:
            of_morning = self.told_in.kind == self.Kind.DIGEST
            return "told in the letter of the morning" if of_morning else "told in one like it"
        if self.kept_here_at:
            return "kept here, as chosen"
        return "not sent" if self.failed_at else "waiting"
