"""Which class does in place of which, as the shop names them."""

from django.core.exceptions import ValidationError
from django.db import models

from fleet.models.makeups import MachineClass


class Substitute(models.Model):
    """A class that does in place of another: a large quad for a small one, not the other way."""

    machine_class = models.ForeignKey(MachineClass, models.CASCADE, related_name="substitutes")
    instead = models.ForeignKey(MachineClass, models.CASCADE, related_name="+")

    class Meta:
        ordering = ["machine_class", "instead__name"]
        constraints = [
            models.UniqueConstraint(
                fields=["machine_class", "instead"], name="one_substitute_of_a_class",
                violation_error_message="That class is named twice.",
            ),
            models.CheckConstraint(
                condition=~models.Q(machine_class=models.F("instead")),
                name="no_substitute_for_itself",
                violation_error_message="A class is no substitute for itself.",
            ),
        ]  # fmt: skip

    def __str__(self) -> str:
        return f"{self.instead} for {self.machine_class}"

    def clean(self) -> None:
        """Refuse a class in place of itself."""
        if self.instead_id is not None and self.instead_id == self.machine_class_id:
            raise ValidationError({"instead": "A class is no substitute for itself."})
