"""The steps of a service that ask for photos."""

from dataclasses import dataclass

from fleet.models import Machine, Service, ServiceStep
from fleet.procedures import steps_for


@dataclass(frozen=True)
class AskedPhoto:
    """A step that asks for photos: of which service, and its words on this machine."""

    service: Service
    words: str


def photo_step(machine: Machine, service: int, step: str) -> AskedPhoto | None:
    """Return a step of a service that asks for photos of this machine, if it is one."""
    found = Service.objects.filter(pk=service).first()
    if found is None:
        return None
    words = (
        one.text
        for one in steps_for(machine, [found]).get(found.pk, [])
        if one.key == step and one.kind == ServiceStep.Kind.PHOTO
    )
    return next((AskedPhoto(found, text) for text in words), None)
