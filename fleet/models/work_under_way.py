"""Work that is under way: begun on one day, to be gone on with on another."""

from django.core.validators import MinValueValidator
from django.db import models

from fleet.models.machines import Machine
from fleet.models.people import Person


class StandingProgress(models.Manager["Progress"]):
    """What nobody took back."""

    def get_queryset(self) -> models.QuerySet["Progress"]:
        """Leave out what was taken back."""
        return super().get_queryset().filter(struck_at=None)


class Progress(models.Model):
    """How far a piece of work had come when a mechanic laid down the tools.

    Work is named by its key, as in decisions.  The latest row tells what is left; it counts until
    the work stands in the book, or its finding is settled.  `objects` are those that stand;
    `every` are all, those that were taken back too.
    """

    machine = models.ForeignKey(Machine, models.PROTECT, related_name="progress")
    work_key = models.CharField(max_length=120)
    done_by = models.ForeignKey(Person, models.PROTECT, related_name="begun")
    at = models.DateTimeField()
    minutes = models.PositiveSmallIntegerField(help_text="worked on it since the last note")
    minutes_left = models.PositiveSmallIntegerField(validators=[MinValueValidator(1)])
    note = models.CharField(
        max_length=300, blank=True, help_text="what is still open, what is missing"
    )
    by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    form_key = models.CharField(max_length=60, null=True, blank=True, unique=True)
    struck_at = models.DateTimeField(null=True, blank=True)
    struck_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    objects = StandingProgress()
    every = models.Manager["Progress"]()

    class Meta:
        verbose_name_plural = "progress"
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["machine", "work_key"], name="progress_of_work")]

    def __str__(self) -> str:
        return f"{self.machine}: {self.minutes_left} min left"
