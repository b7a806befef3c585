"""The last acts of people, so that one press can take the latest back."""

from django.db import models

from fleet.models.machines import Machine
from fleet.models.people import Person


class Act(models.Model):
    """One thing that somebody did: who, when, to what, and whether it was taken back.

    rows: kind of row -> keys of the rows that the act brought, such as {"reading": [12, 13]}.
    words: what is undone, as in "undo the return of E-07".
    """

    class What(models.TextChoices):
        """What was done."""

        CHECK_OUT = "out", "check-out"
        RETURN = "back", "return"
        JOB = "job", "finished job"
        PUT_OFF = "put_off", "work put off"
        LEFT = "left", "work left under way"
        FINDING = "finding", "finding"
        HOLD = "hold", "hold"
        READING = "reading", "reading"
        BOOKING = "booking", "booking"
        COUNT = "count", "stock count"

    what = models.CharField(max_length=8, choices=What)
    by = models.ForeignKey(Person, models.PROTECT, related_name="acts")
    at = models.DateTimeField()
    machine = models.ForeignKey(Machine, models.PROTECT, null=True, blank=True, related_name="acts")
    words = models.CharField(max_length=200)
    rows = models.JSONField(default=dict)
    key = models.CharField(
        max_length=60,
        null=True,
        blank=True,
        unique=True,
        help_text="so that a form sent twice is one act",
    )
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["by", "-at"], name="act_by_person")]

    def __str__(self) -> str:
        return self.words
