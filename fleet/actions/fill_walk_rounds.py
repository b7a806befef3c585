"""A class that is new gets what the library knows of the kind of machine that its name tells."""

from django.utils.text import slugify

from fleet.models import Accessory, Caution, MachineClass, WalkRoundPoint
from fleet.queries.points_of_class import usual_accessories, usual_points
from fleet.walk_round_library import UsualCaution, kind_of_class

CODE_LENGTH = 50


def fill_walk_round(machine_class: MachineClass) -> None:
    """Give a class the points of its kind, unless it has points of its own, and what goes along."""
    if machine_class.walk_round_points.exists():
        return
    WalkRoundPoint.objects.bulk_create(usual_points(machine_class))
    fill_kit(machine_class)


def fill_kit(machine_class: MachineClass) -> None:
    """Give a class what it runs on, its accessories, and the cautions for its customers."""
    kind = kind_of_class(machine_class.name)
    MachineClass.objects.filter(pk=machine_class.pk).update(runs_on=kind.runs_on)
    if not machine_class.accessories.exists():
        Accessory.objects.bulk_create(usual_accessories(machine_class))
    machine_class.cautions.add(*(_caution(told) for told in kind.cautions))


def _caution(told: UsualCaution) -> Caution:
    """Return the library's caution as a row; the shop may have said it better since."""
    code = f"hire-{slugify(told.text)}"[:CODE_LENGTH].strip("-")
    row, _ = Caution.objects.get_or_create(
        code=code, defaults={"signal": told.signal, "text": told.text, "source": told.source}
    )
    return row
