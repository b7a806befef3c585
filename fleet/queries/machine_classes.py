"""Classes of machines to choose from."""

from django.db.models import QuerySet

from fleet.models import MachineClass

LONGEST_ID = 10
"""Digits of a number that can be a row's."""


def machine_classes() -> QuerySet[MachineClass]:
    """Return all classes, by name."""
    return MachineClass.objects.all()


def has_machine_classes() -> bool:
    """Whether any class is set up yet."""
    return machine_classes().exists()


def class_numbered(number: str) -> MachineClass | None:
    """Return the class of a number as it stands in a form, if there is one."""
    if not (number.isascii() and number.isdigit() and len(number) < LONGEST_ID):
        return None
    return MachineClass.objects.filter(pk=int(number)).first()
