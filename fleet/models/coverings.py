"""What counts as done with what: said for each make-up, since manuals differ in that."""

from django.db import models

from fleet.models.makeups import MakeUp
from fleet.models.services import Service


class Covering(models.Model):
    """On machines of this make-up, doing one service counts as doing the other too."""

    makeup = models.ForeignKey(MakeUp, models.CASCADE, related_name="coverings")
    service = models.ForeignKey(Service, models.CASCADE, related_name="coverings")
    covered = models.ForeignKey(Service, models.CASCADE, related_name="covered_in")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["makeup", "service", "covered"], name="one_covering_of_two_services"
            ),
            models.CheckConstraint(
                condition=~models.Q(service=models.F("covered")),
                name="a_service_covers_another_one",
                violation_error_message="A service cannot cover itself.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.service} covers {self.covered} on {self.makeup}"
