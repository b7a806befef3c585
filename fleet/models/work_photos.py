"""Photos that a step of a procedure asks for."""

from django.db import models

from fleet.models.machines import Machine
from fleet.models.services import Service
from fleet.models.struck_facts import StruckFact


class WorkPhoto(StruckFact):
    """A photo of a machine, taken at a step of its service; the picture lies below PHOTOS.

    It belongs to the entry by which that service is next written into the book.  step: the step's
    key; words: what it asked for, as it read then.
    """

    machine = models.ForeignKey(Machine, models.PROTECT, related_name="work_photos")
    service = models.ForeignKey(Service, models.PROTECT, related_name="work_photos")
    step = models.SlugField(max_length=60)
    words = models.CharField(max_length=300)
    name = models.CharField(max_length=60, unique=True)
    wide = models.PositiveIntegerField()
    high = models.PositiveIntegerField()
    digest = models.CharField(max_length=64, help_text="SHA-256 of what was sent")

    class Meta:
        ordering = ["at", "pk"]
        indexes = [models.Index(fields=["machine", "service", "at"], name="work_photo_of_service")]
        constraints = [
            models.UniqueConstraint(
                fields=["machine", "digest"],
                condition=models.Q(struck_at=None),
                name="a_work_photo_once_a_machine",
            )
        ]

    def __str__(self) -> str:
        return f"photo of {self.machine}: {self.service}"
