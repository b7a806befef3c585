"""What somebody typed on a job sheet, kept as it is typed until it is in the book."""

from django.db import models

from fleet.models.machines import Machine
from fleet.models.people import Person


class SheetEntry(models.Model):
    """One field of one person's sheet of a machine: a tick, a measure, a note.

    No fact yet: what is typed may still change, and counts once the sheet is finished.  sheet: key
    of the form, one for each visit.  field: its name on the form; "done=KEY" for one tick of many.
    """

    machine = models.ForeignKey(Machine, models.PROTECT, related_name="sheet_entries")
    by = models.ForeignKey(Person, models.PROTECT, related_name="sheet_entries")
    sheet = models.CharField(max_length=32)
    field = models.CharField(max_length=160)
    label = models.CharField(max_length=160, blank=True, help_text="what the field is called")
    value = models.TextField(blank=True)
    typed_at = models.DateTimeField(help_text="by the clock of the phone, never in the future")
    kept_at = models.DateTimeField()
    key = models.CharField(max_length=40, help_text="made on the phone: the same sent twice is one")
    spent_at = models.DateTimeField(
        null=True, blank=True, help_text="when the sheet was finished, left or put off, or let go"
    )

    class Meta:
        verbose_name_plural = "sheet entries"
        ordering = ["typed_at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["by", "sheet", "field"], name="one_entry_a_field")
        ]
        indexes = [models.Index(fields=["machine", "spent_at"], name="open_entries_of_machine")]

    def __str__(self) -> str:
        return f"{self.label or self.field}: {self.value}"
