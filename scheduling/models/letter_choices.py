"""How each person wants their letters: by kind at once, in the morning or not; quiet hours."""

from datetime import time

from django.db import models

from fleet.models import Person
from scheduling.models.notices import Notice


class LetterChoice(models.Model):
    """What one person chose for one kind of letter; no row: at once, to themselves."""

    class How(models.TextChoices):
        """When, if at all."""

        AT_ONCE = "once", "at once"
        MORNING = "morning", "in one letter in the morning"
        NOT = "not", "not by letter"

    person = models.ForeignKey(Person, models.CASCADE, related_name="letter_choices")
    kind = models.CharField(max_length=12, choices=Notice.Kind)
    how = models.CharField(max_length=8, choices=How, default=How.AT_ONCE)
    instead = models.ForeignKey(
        Person, models.SET_NULL, null=True, blank=True, related_name="+",
        help_text="who gets it in place of this person",
    )  # fmt: skip

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["person", "kind"], name="one_choice_a_kind_of_letter")
        ]

    def __str__(self) -> str:
        return f"{self.person}: {self.get_kind_display()} {self.get_how_display()}"


class LetterHours(models.Model):
    """When one person wants no letter, and when the morning's one is to come; times of the shop."""

    person = models.OneToOneField(Person, models.CASCADE, related_name="letter_hours")
    morning_at = models.TimeField(default=time(6))
    unanswered_hours = models.PositiveSmallIntegerField(
        default=24, help_text="after which a warning that nobody answered comes to this person"
    )
    quiet_from = models.TimeField(null=True, blank=True)
    quiet_to = models.TimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.person}: morning at {self.morning_at:%H:%M}"
