"""What goes out with a machine of a class and has to come back with it."""

from django.db import models

from fleet.models.makeups import MachineClass


class Accessory(models.Model):
    """One thing that goes with the machines of a class: ramps, keys, a helmet.

    A hand-over keeps its words as they were then.
    """

    machine_class = models.ForeignKey(MachineClass, models.CASCADE, related_name="accessories")
    words = models.CharField(max_length=80, help_text="keys, ramps, helmet, limiter set")
    position = models.PositiveSmallIntegerField("no.", default=100)

    class Meta:
        verbose_name_plural = "accessories"
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["machine_class", "words"], name="one_accessory_of_a_class_by_its_words",
                violation_error_message="This class has that accessory already.",
            )
        ]  # fmt: skip

    def __str__(self) -> str:
        return self.words
