"""Classes of machines to choose from."""

from django.db.models import QuerySet

from fleet.models import MachineClass


def machine_classes() -> QuerySet[MachineClass]:
    """Return all classes, by name."""
    return MachineClass.objects.all()


def has_machine_classes() -> bool:
    """Whether any class is set up yet."""
    return machine_classes().exists()
