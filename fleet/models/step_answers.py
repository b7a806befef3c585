"""What was answered at each step of work that is in the service book.  Facts, never rewritten."""

from django.db import models

from fleet.models.book import ServiceRecord
from fleet.models.findings import Finding
from fleet.models.people import Person


class StepAnswer(models.Model):
    """The answer at one step of an entry: done, or what a check has shown, by whom and when.

    What was measured at a step is a `Measurement`.  An entry that puts another right has answers
    of its own; those that it leaves as they were keep who gave them, and when.  step: the step's
    key in the text that the work was done by.  finding: what a check that was not good became.
    """

    class Given(models.TextChoices):
        """What may be answered: a tick, or one of the three of a check, the mildest first."""

        DONE = "done", "done"
        GOOD = "good", "good"
        ATTENTION = "attention", "needs attention"
        STOP = "stop", "stop the machine"

    record = models.ForeignKey(ServiceRecord, models.PROTECT, related_name="answers")
    step = models.CharField(max_length=60)
    answer = models.CharField(max_length=9, choices=Given)
    quantity_ml = models.FloatField(null=True, blank=True, help_text="filled in at it, mL")
    by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    at = models.DateTimeField(help_text="by the clock of the phone, never in the future")
    finding = models.ForeignKey(
        Finding, models.PROTECT, null=True, blank=True, related_name="answers"
    )

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["record", "step"], name="one_answer_a_step")]

    def __str__(self) -> str:
        return f"{self.step}: {self.get_answer_display()}"
