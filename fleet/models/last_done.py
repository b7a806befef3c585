"""What people say of services done before their machines came into the book."""

from django.db import models

from fleet.models.machines import Machine
from fleet.models.people import Person
from fleet.models.services import Service


class LastDoneAnswer(models.Model):
    """Somebody said of a service of a machine that it was never done, or that nobody knows.

    The latest answer holds, and only as long as the book has no entry of the service.  Never done,
    it counts from the machine's start; not known, it is due at once.
    """

    class Answer(models.TextChoices):
        """What was said instead of a day."""

        NEVER = "never", "never done"
        UNKNOWN = "unknown", "not known: look at it first"

    machine = models.ForeignKey(Machine, models.PROTECT, related_name="last_done_answers")
    service = models.ForeignKey(Service, models.PROTECT, related_name="last_done_answers")
    answer = models.CharField(max_length=8, choices=Answer)
    said_at = models.DateTimeField()
    said_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["said_at", "pk"]
        indexes = [models.Index(fields=["machine", "service"], name="last_done_by_machine")]

    def __str__(self) -> str:
        return f"{self.service} on {self.machine}: {self.get_answer_display()}"
