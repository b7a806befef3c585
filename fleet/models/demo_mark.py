"""The mark of the demo: it tells that this database holds the demo fleet, and which one."""

from django.db import models


class DemoMark(models.Model):
    """One row, written with the demo fleet and never on a database of one's own machines."""

    machines = models.PositiveIntegerField()
    seed = models.PositiveIntegerField()
    loaded_for = models.DateField(help_text="the day that was today when it was loaded")
    lived_to = models.DateField(help_text="the day up to which it has been lived through")

    def __str__(self) -> str:
        return f"{self.machines} machines, seed {self.seed}, lived to {self.lived_to}"
