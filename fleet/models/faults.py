"""Fault finding: which symptom was looked into, what each check showed, and what it was."""

from django.db import models

from fleet.models.findings import Finding
from fleet.models.machines import Machine
from fleet.models.people import Person


class FaultSearch(models.Model):
    """Somebody looks for the cause of a symptom on a machine.

    symptom: its key in the library of faults; words: what it was called then.
    """

    machine = models.ForeignKey(Machine, models.PROTECT, related_name="fault_searches")
    symptom = models.SlugField(max_length=40)
    words = models.CharField(max_length=120)
    begun_at = models.DateTimeField()
    begun_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    form_key = models.CharField(max_length=40, unique=True)

    class Meta:
        verbose_name = "fault search"
        verbose_name_plural = "fault searches"
        ordering = ["-begun_at"]
        indexes = [models.Index(fields=["machine", "symptom"], name="search_by_machine")]

    def __str__(self) -> str:
        return f"{self.machine}: {self.words}"


class FaultOutcome(models.Model):
    """What one check of a search showed; said twice, the later word stands."""

    search = models.ForeignKey(FaultSearch, models.PROTECT, related_name="outcomes")
    check_key = models.SlugField(max_length=60)
    words = models.CharField(max_length=300, help_text="the check as it was said then")
    outcome = models.SlugField(max_length=40)
    showed = models.CharField(max_length=160, help_text="the outcome as it was said then")
    at = models.DateTimeField()
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")

    class Meta:
        verbose_name = "outcome of a check"
        verbose_name_plural = "outcomes of checks"
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"{self.words}: {self.showed}"


class FoundFault(models.Model):
    """What a search came to: the cause, and the finding that it became.

    cause: its key in the library of faults; empty where it is none that the library names.
    """

    search = models.OneToOneField(FaultSearch, models.PROTECT, related_name="found")
    cause = models.SlugField(max_length=60, blank=True)
    words = models.CharField(max_length=160)
    finding = models.ForeignKey(
        Finding, models.PROTECT, null=True, blank=True, related_name="fault_searches"
    )
    at = models.DateTimeField()
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")

    class Meta:
        verbose_name = "cause that was found"
        verbose_name_plural = "causes that were found"
        ordering = ["-at"]

    def __str__(self) -> str:
        return self.words
