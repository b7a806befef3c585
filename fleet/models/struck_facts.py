"""What is kept beside another fact, and struck where it was wrong."""

from django.db import models

from fleet.models.people import Person


class StruckFact(models.Model):
    """A fact that is never changed nor deleted: what was wrong is struck, with who and why."""

    by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    at = models.DateTimeField()
    struck_at = models.DateTimeField(null=True, blank=True)
    struck_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    struck_why = models.CharField(max_length=200, blank=True)

    class Meta:
        abstract = True
