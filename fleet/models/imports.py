"""Files that were brought in: what came of their rows, what they made, and what they left open."""

from django.db import models

from fleet.models.people import Person


class Import(models.Model):
    """One file on its way in, or brought in: by whom, when, what came of it, what it made.

    choices: what a person said by hand of sheets, columns and dates.  sheets: what came, or would
    come, of each sheet.  made: rows by model, as spans of their numbers, by which it is undone.
    """

    class Stage(models.TextChoices):
        """How far it has come."""

        LOOK = "look", "waiting to be looked at"
        READY = "ready", "looked at, not brought in"
        OWED = "owed", "waiting to come in"
        DONE = "done", "brought in"
        UNDOING = "undoing", "being undone"
        UNDONE = "undone", "undone"
        FAILED = "failed", "not readable"
        LEFT = "left", "left out"

    file_name = models.CharField(max_length=200)
    stage = models.CharField(max_length=8, choices=Stage, default=Stage.LOOK)
    made_at = models.DateTimeField()
    by = models.ForeignKey(
        Person, models.PROTECT, null=True, blank=True, related_name="imports",
        help_text="empty: the command",
    )  # fmt: skip
    make_missing = models.BooleanField(default=False)
    choices = models.JSONField(default=dict)
    sheets = models.JSONField(default=list)
    made = models.JSONField(default=dict)
    settled = models.JSONField(default=list, help_text="kept readings that fit after it")
    rows_done = models.PositiveIntegerField(default=0)
    rows_in_all = models.PositiveIntegerField(default=0)
    said = models.CharField(
        max_length=500, blank=True, help_text="why it cannot be read, or be undone"
    )
    done_at = models.DateTimeField(null=True, blank=True)
    undone_at = models.DateTimeField(null=True, blank=True)
    undone_by = models.ForeignKey(
        Person, models.PROTECT, null=True, blank=True, related_name="imports_undone"
    )

    class Meta:
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return self.file_name


class ImportFile(models.Model):
    """The file itself, from its coming until it is brought in or left out.

    It stands in the database, since page and worker may run on different machines.
    """

    of_import = models.OneToOneField(Import, models.CASCADE, related_name="file")
    content = models.BinaryField()

    def __str__(self) -> str:
        return f"{self.of_import}: {len(self.content):,} bytes"


class ImportRefusal(models.Model):
    """A row that an import refused, as it stood, and why: given back as a file to mend."""

    of_import = models.ForeignKey(Import, models.CASCADE, related_name="refusals")
    sheet = models.CharField(max_length=120)
    line = models.PositiveIntegerField()
    cells = models.JSONField(default=list)
    reason = models.CharField(max_length=500)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.sheet}, line {self.line}: {self.reason}"


class ToComplete(models.Model):
    """A thing that was made because a file named it: somebody has to look at it and complete it."""

    of_import = models.ForeignKey(Import, models.CASCADE, related_name="to_complete")
    model = models.CharField(max_length=40, help_text="name of the model: yard, service, makeup")
    row_id = models.PositiveBigIntegerField()
    name = models.CharField(max_length=160)
    lacks = models.CharField(max_length=200)
    settled_at = models.DateTimeField(null=True, blank=True)
    settled_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        verbose_name_plural = "things to complete"
        ordering = ["model", "name"]

    def __str__(self) -> str:
        return f"{self.name}: {self.lacks}"
