"""A shop's own pictures at the steps of its procedures."""

from django.db import models

from fleet.models.people import Person


class StepPicture(models.Model):
    """A picture that shows how a step is done; the file lies below PHOTOS.

    It is never changed nor deleted: work that was done by it names it.  A step refers to the one
    that it shows now; which it showed before, and who took it away, is in the change log.  Other
    words of the same picture are a row of their own with the same file.
    """

    name = models.CharField(max_length=60)
    wide = models.PositiveIntegerField()
    high = models.PositiveIntegerField()
    digest = models.CharField(max_length=64, help_text="SHA-256 of what was sent")
    shows = models.CharField(max_length=200, help_text="for who cannot see it")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"no. {self.pk}: {self.shows}"
