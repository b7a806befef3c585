"""Tags that machines carried before: labels and links with them still lead to the machine."""

from django.db import models

from fleet.models.machines import Machine
from fleet.models.people import Person


class FormerTag(models.Model):
    """A tag that a machine gave up, and when.

    Where it was given to another machine since, the machine that carries it now comes first.
    """

    machine = models.ForeignKey(Machine, models.PROTECT, related_name="former_tags")
    tag = models.CharField(max_length=20)
    given_up_at = models.DateTimeField()
    by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["-given_up_at", "-pk"]
        indexes = [models.Index(fields=["tag"], name="former_tag_by_text")]

    def __str__(self) -> str:
        return self.tag
