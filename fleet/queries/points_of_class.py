"""What belongs to a class at a hand-over: the points of its walk-round, its accessories."""

from collections.abc import Iterable

from fleet.models import Accessory, MachineClass, WalkRoundPoint
from fleet.walk_round_library import PointToSee, general_points, kind_of_class


def points_of(machine_class: MachineClass) -> list[PointToSee]:
    """Return the points of a class in order, the general ones where nobody set up any; one query.

    Two points never have the same words.
    """
    rows = WalkRoundPoint.objects.filter(machine_class=machine_class)
    found = [PointToSee(one.key, one.words, one.safety, one.source) for one in rows]
    return found or list(general_points())


def usual_points(machine_class: MachineClass) -> Iterable[WalkRoundPoint]:
    """Yield the rows, not saved, that a new class gets of the library by its name."""
    for position, point in enumerate(kind_of_class(machine_class.name).points, start=1):
        yield WalkRoundPoint(
            machine_class=machine_class,
            position=position,
            words=point.words,
            safety=point.safety,
            key=point.key,
            source=point.source,
        )


def usual_accessories(machine_class: MachineClass) -> Iterable[Accessory]:
    """Yield the accessories, not saved, that a new class gets of the library by its name."""
    for position, words in enumerate(kind_of_class(machine_class.name).accessories, start=1):
        yield Accessory(machine_class=machine_class, position=position, words=words)


def accessories_of(machine_class: MachineClass) -> list[str]:
    """Return what goes with the machines of a class, in order; one query."""
    rows = Accessory.objects.filter(machine_class=machine_class)
    return list(rows.values_list("words", flat=True))
