"""A class that is new gets the walk-round of the kind of machine that its name speaks of."""

from fleet.models import MachineClass, WalkRoundPoint
from fleet.queries.points_of_class import usual_points


def fill_walk_round(machine_class: MachineClass) -> None:
    """Give a class the points of the library, unless it has points of its own."""
    if not machine_class.walk_round_points.exists():
        WalkRoundPoint.objects.bulk_create(usual_points(machine_class))
