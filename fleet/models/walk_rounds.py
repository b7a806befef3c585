"""What is looked at on going out and coming back, by class of machine."""

from django.db import models

from fleet.models.makeups import MachineClass


class WalkRoundPoint(models.Model):
    """One point of a class's walk-round; one that is for safety holds a machine that fails it.

    A hand-over keeps the words of its points as they were then, so that a point may be said
    better, or taken out, and no hand-over says anything else for it.
    """

    machine_class = models.ForeignKey(
        MachineClass, models.CASCADE, related_name="walk_round_points"
    )
    words = models.CharField(
        max_length=120, help_text="said as it should be: Brakes hold and release"
    )
    position = models.PositiveSmallIntegerField(
        "no.", default=100, help_text="in which order it is looked at"
    )
    safety = models.BooleanField(
        default=False, help_text="not in order: the machine is held at once"
    )
    key = models.SlugField(
        max_length=40, blank=True, editable=False,
        help_text="its name in the library of walk-rounds; empty: the shop's own",
    )  # fmt: skip
    source = models.CharField(
        max_length=120, blank=True, help_text="the rule or manual that asks for it"
    )

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["machine_class", "words"], name="one_point_of_a_class_by_its_words",
                violation_error_message="This class has that point already.",
            )
        ]  # fmt: skip

    def __str__(self) -> str:
        return self.words
