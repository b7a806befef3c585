"""The cautions of some work, each once, in the order in which they are read."""

from collections.abc import Iterable
from typing import Protocol

from fleet.models import Caution, Machine, Service
from fleet.procedures import cautions_on_build, traits_of_machine

SIGNALS = [signal.value for signal in Caution.Signal]
LOCK_OUT = "lock-out"
"""Codes of the cautions that come before all others: nothing is touched before it is locked out."""


class OfService(Protocol):
    """Work on the bench, planned or on a sheet."""

    @property
    def service(self) -> Service | None: ...  # noqa: D102  named by the class

    @property
    def machine(self) -> Machine: ...  # noqa: D102  named by the class


def cautions_of(work: Iterable[OfService]) -> list[Caution]:
    """Return the cautions of some work, each once: lock-out first, then the most serious.

    What a machine cannot have by its build is not warned of.
    """
    found = {
        caution.pk: caution
        for one in work
        if one.service
        for caution in cautions_on_build(one.service, traits_of_machine(one.machine))
    }
    return sorted(found.values(), key=_caution_order)


def _caution_order(one: Caution) -> tuple[bool, int, str]:
    return not one.code.startswith(LOCK_OUT), SIGNALS.index(one.signal), one.code
