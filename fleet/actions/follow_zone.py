"""What follows where a yard turns out to keep another time: its bookings mean other moments."""

from django.db import models

from fleet.actions.keep_times import retime
from fleet.models import Yard


def follow_zone(before: models.Model | None, row: models.Model) -> None:
    """Work the moments of a yard's bookings out again, inside the transaction that changed it."""
    if isinstance(before, Yard) and isinstance(row, Yard) and before.time_zone != row.time_zone:
        retime(list(row.machines.values_list("pk", flat=True)))
