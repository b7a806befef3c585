"""What stands beside a procedure: where it was copied from, and the text that work was done by."""

from django.db import models

from fleet.models.people import Person
from fleet.models.services import Service


class LibraryCopy(models.Model):
    """A procedure that a shop took from the library, as the library said it then.

    body: that content, against which the shop's own changes and the library's later ones are
    told apart.  declined: the later content that the shop does not want.
    """

    service = models.OneToOneField(Service, models.CASCADE, related_name="library_copy")
    code = models.SlugField(unique=True, help_text="its name in the library")
    digest = models.CharField(max_length=40)
    body = models.JSONField()
    declined = models.CharField(max_length=40, blank=True)
    taken_at = models.DateTimeField()
    taken_by = models.ForeignKey(
        Person, models.PROTECT, null=True, blank=True, related_name="+",
        help_text="empty: a command",
    )  # fmt: skip

    class Meta:
        verbose_name = "procedure of the library"
        verbose_name_plural = "procedures of the library"
        ordering = ["code"]

    def __str__(self) -> str:
        return str(self.service)


class DoneText(models.Model):
    """The steps by which work was done, word for word; work done by the same text shares it.

    steps: list of values as `fleet.procedures.kept_text` writes them.
    """

    digest = models.CharField(max_length=40, primary_key=True)
    steps = models.JSONField()

    class Meta:
        verbose_name = "text that work was done by"
        verbose_name_plural = "texts that work was done by"

    def __str__(self) -> str:
        return f"{len(self.steps)} steps"
