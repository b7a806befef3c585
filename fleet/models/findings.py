"""Findings and holds: what was seen on a machine, and who ordered that it stays."""

from django.db import models

from fleet.models.book import ServiceRecord
from fleet.models.bookings import HandOver
from fleet.models.machines import Machine
from fleet.models.people import Person, Skill
from fleet.models.services import Service


class Finding(models.Model):
    """Something seen or measured; a defect is a finding that needs work."""

    class Gravity(models.TextChoices):
        """How bad it is."""

        NOTE = "note", "note"
        DEFECT = "defect", "defect"
        UNSAFE = "unsafe", "not safe"

    machine = models.ForeignKey(Machine, models.PROTECT, related_name="findings")
    seen_at = models.DateTimeField()
    seen_by = models.ForeignKey(
        Person, models.PROTECT, null=True, blank=True, related_name="findings"
    )
    text = models.CharField(max_length=400)
    gravity = models.CharField(max_length=8, choices=Gravity, default=Gravity.NOTE)
    seen_during = models.ForeignKey(
        ServiceRecord, models.PROTECT, null=True, blank=True, related_name="findings"
    )
    hand_over = models.ForeignKey(
        HandOver, models.PROTECT, null=True, blank=True, related_name="findings",
        help_text="the check-out or return at which it was seen",
    )  # fmt: skip
    point = models.CharField(
        max_length=120, blank=True, default="", help_text="the point of a walk-round it was seen at"
    )
    safety = models.BooleanField(
        default=False, help_text="that point is for safety: the next check-out asks about it"
    )
    calls_for = models.ForeignKey(
        Service, models.PROTECT, null=True, blank=True, help_text="the service that it makes due"
    )
    minutes = models.PositiveSmallIntegerField(
        default=60, help_text="a guess at the work, for the plan"
    )
    skill = models.ForeignKey(Skill, models.PROTECT, null=True, blank=True)
    second_minutes = models.PositiveSmallIntegerField(
        default=0, help_text="of a second person; 0: one person mends it alone"
    )
    second_skill = models.ForeignKey(Skill, models.PROTECT, null=True, blank=True, related_name="+")
    several_days = models.BooleanField(default=False, help_text="may be longer than a working day")
    settled_at = models.DateTimeField(null=True, blank=True)
    settled_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    settled_note = models.CharField(max_length=200, blank=True)
    settled_during = models.ForeignKey(
        ServiceRecord, models.PROTECT, null=True, blank=True, related_name="settled",
        help_text="the entry in the book that settled it",
    )  # fmt: skip
    struck = models.BooleanField(
        default=False, help_text="it was not so after all; settled_note says why"
    )
    form_key = models.CharField(max_length=40, null=True, blank=True, unique=True)
    just_hung: "list[Hold] | None" = None
    """The holds that were hung as it was made, on the very value that made it."""

    class Meta:
        ordering = ["-seen_at"]

    def __str__(self) -> str:
        return self.text


class Hold(models.Model):
    """A person's order that a machine stays until it is released."""

    machine = models.ForeignKey(Machine, models.PROTECT, related_name="holds")
    placed_at = models.DateTimeField()
    placed_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    reason = models.CharField(max_length=300)
    owner = models.ForeignKey(
        Person, models.PROTECT, null=True, blank=True, related_name="holds",
        help_text="who decides over it; empty: who placed it",
    )  # fmt: skip
    condition = models.CharField("what must be true for its release", max_length=300, blank=True)
    safety = models.BooleanField(
        "for safety", default=False,
        help_text="hung for safety, though no finding that is not safe belongs to it",
    )  # fmt: skip
    finding = models.ForeignKey(Finding, models.PROTECT, null=True, blank=True)
    look = models.BooleanField(
        "the shop looks at it", default=False,
        help_text="its finding is but that the shop is to look at it, and is planned as such",
    )  # fmt: skip
    released_at = models.DateTimeField(null=True, blank=True)
    released_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    released_note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-placed_at"]

    def __str__(self) -> str:
        return f"{self.machine}: {self.reason}"

    @property
    def decided_by(self) -> Person:
        """Its owner, or who placed it."""
        return self.owner or self.placed_by

    @property
    def for_safety(self) -> bool:
        """Whether it says so, or hangs on a finding that is not safe."""
        unsafe = self.finding is not None and self.finding.gravity == Finding.Gravity.UNSAFE
        return self.safety or unsafe
