"""What a calendar was last told of each mechanic's day, to number its revisions."""

from django.db import models

from fleet.models import Person


class CalendarDay(models.Model):
    """One mechanic's shop day in the calendar feed."""

    mechanic = models.ForeignKey(Person, models.CASCADE, related_name="calendar_days")
    day = models.DateField()
    said = models.CharField(max_length=64, help_text="digest of what the event says")
    sequence = models.PositiveIntegerField(help_text="never falls: RFC 5545, 3.8.7.4")
    revised_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["mechanic", "day"], name="one_calendar_day")]

    def __str__(self) -> str:
        return f"{self.mechanic} on {self.day}, revision {self.sequence}"
