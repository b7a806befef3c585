"""Presses of a button that acts: one of each, with what it was answered."""

from django.db import models

from fleet.models.people import Person


class Press(models.Model):
    """One press: its key came with the form; who presses again hears what the first heard.

    No fact: what came of it is.  answer: status, headers, body and what was said.
    """

    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    key = models.CharField(max_length=60)
    digest = models.CharField(max_length=64, help_text="SHA-256 of all that was sent, in hex")
    at = models.DateTimeField()
    answered_at = models.DateTimeField(null=True)
    answer = models.JSONField(default=dict)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["by", "key"], name="pressed_once"),
        ]
        indexes = [models.Index(fields=["at"], name="press_by_time")]

    def __str__(self) -> str:
        return f"{self.by}: {self.key}"
