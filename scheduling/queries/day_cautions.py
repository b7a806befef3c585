"""The cautions of some work, each once, in the order in which they are read."""

from collections.abc import Iterable
from typing import Protocol

from fleet.models import Caution, Service

SIGNALS = [signal.value for signal in Caution.Signal]
LOCK_OUT = "lock-out"
"""Codes of the cautions that come before all others: nothing is touched before it is locked out."""


class OfService(Protocol):
    """Work on the bench, planned or on a sheet."""

    @property
    def service(self) -> Service | None: ...  # noqa: D102  named by the class


def cautions_of(work: Iterable[OfService]) -> list[Caution]:
    """Return the cautions of some work, each once: lock-out first, then the most serious."""
    services = [one.service for one in work if one.service]
    found = {caution.pk: caution for service in services for caution in service.cautions.all()}
    return sorted(found.values(), key=_caution_order)


def _caution_order(one: Caution) -> tuple[bool, int, str]:
    return not one.code.startswith(LOCK_OUT), SIGNALS.index(one.signal), one.code
