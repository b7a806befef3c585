"""The change log: what was changed of a fact, a rule or a person, by whom, when and why.

A fact that is only added (a reading, an entry of the book) stands for itself and is not told here
again; what puts it right, lets it go or alters what was there before is.
"""

from django.db import models

from fleet.models.machines import Machine
from fleet.models.people import Person


class LoggedChange(models.Model):
    """One change: what it was done to, old and new values, who, when and why.

    values: list of {"field", "old", "new"} in words, as a reader would say them.
    """

    at = models.DateTimeField()
    by = models.ForeignKey(
        Person, models.PROTECT, null=True, blank=True, related_name="changes_made",
        help_text="empty: a command or the program itself",
    )  # fmt: skip
    kind = models.CharField(max_length=40, help_text="what was changed: machine, interval, booking")
    subject_id = models.PositiveBigIntegerField(help_text="the number of the row that was changed")
    subject = models.CharField(max_length=200, help_text="its name as it was then")
    machine = models.ForeignKey(
        Machine, models.SET_NULL, null=True, blank=True, related_name="changes",
        help_text="on whose page it is told",
    )  # fmt: skip
    act = models.CharField(max_length=80, help_text="what was done: corrected, struck, renamed")
    values = models.JSONField(default=list)
    reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [
            models.Index(fields=["machine", "-at"], name="change_by_machine"),
            models.Index(fields=["kind", "subject_id", "-at"], name="change_by_subject"),
            models.Index(fields=["-at"], name="change_by_time"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.subject}: {self.act}"
