"""Copies of the site that the night made: when, where, and whether they could be read back."""

from django.db import models


class KeptCopy(models.Model):
    """The copy of one night; removed_at: its file was let go when it had been kept long enough."""

    day = models.DateField(unique=True, help_text="of the night")
    made_at = models.DateTimeField()
    file = models.CharField(max_length=300, blank=True)
    size = models.PositiveBigIntegerField(default=0, help_text="bytes")
    rows = models.PositiveBigIntegerField(default=0)
    files = models.PositiveIntegerField(default=0, help_text="photos and other files")
    read_back_at = models.DateTimeField(null=True)
    error = models.CharField(max_length=500, blank=True)
    removed_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-day"]
        verbose_name_plural = "kept copies"

    def __str__(self) -> str:
        return f"copy of {self.day}"
