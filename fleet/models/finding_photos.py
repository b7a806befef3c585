"""Photos of what was found on a machine."""

from django.db import models

from fleet.models.findings import Finding
from fleet.models.struck_facts import StruckFact


class FindingPhoto(StruckFact):
    """A photo of a finding; the picture lies below `settings.PHOTOS`, without what it carried."""

    finding = models.ForeignKey(Finding, models.PROTECT, related_name="photos")
    name = models.CharField(max_length=60, unique=True)
    wide = models.PositiveIntegerField()
    high = models.PositiveIntegerField()
    digest = models.CharField(max_length=64, help_text="SHA-256 of what was sent")

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["finding", "digest"],
                condition=models.Q(struck_at=None),
                name="a_photo_once_a_finding",
            )
        ]

    def __str__(self) -> str:
        return f"photo of: {self.finding}"
