"""The outbox: what has to be done behind the pages.

The database is the list, the queue is a doorbell: an entry is a row before any task is sent, so
a lost or doubled message of the queue loses and doubles nothing.
"""

from django.db import models


class OutboxEntry(models.Model):
    """One thing owed by the worker: a nightly run, a machine to re-compute, a plan, a notice."""

    class Kind(models.TextChoices):
        """What is owed."""

        NIGHTLY = "nightly", "nightly run"
        REFRESH = "refresh", "machine to re-compute"
        SEND = "send", "notice to send"
        REPLAN = "replan", "shop to plan again"
        TRIAL = "trial", "trial to work out"
        IMPORT = "import", "file to read"
        LOOK = "look", "plan to look at again"
        COPY = "copy", "copy of the site"
        PAST = "past", "past to live through again"

    key = models.CharField(max_length=160, unique=True, help_text="what makes it the same entry")
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
                name="entry_owed",
            )
        ]

    def __str__(self) -> str:
        return self.key
