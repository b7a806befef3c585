"""A file's machines from batch to batch: loaded once, and again where something of them changed.

To make objects of a thousand machines and their meters takes a tenth of a second; to see that they
are as they were, a tenth of that.
"""

from collections.abc import Callable, Collection, Iterable
from typing import Any

from fleet.intake.resolving import MachinesByTag
from fleet.models import Machine, Meter

OF_MACHINE = ("id", "tag", "yard_id", "merged_into_id")
"""What a row is understood by."""
OF_METER = (
    "id", "machine_id", "kind", "fitted_at", "first_value", "removed_at", "last_value",
    "rolls_over_at",
)  # fmt: skip
"""What a reading is judged by."""

Signs = tuple[set[tuple[Any, ...]], set[tuple[Any, ...]]]


class FileMachines:
    """The machines that a file's rows name.

    lock: lets one transaction at a time write of machines, by their numbers.
    """

    def __init__(self, lock: Callable[[list[int]], None]) -> None:
        self._lock = lock
        self._asked: set[str] = set()
        self._named = MachinesByTag()

    def locked(self, tags: Iterable[str]) -> MachinesByTag:
        """Lock the machines of these tags for this transaction, and return them as they stand."""
        wanted = {tag for tag in tags if tag}
        if not wanted <= self._asked or self._come_since(wanted):
            self._load(wanted)
        ids = {one.id for tag in wanted if (one := self._named.find(tag)) is not None}
        self._lock(sorted(ids))
        if _signs(ids) != _signs_of(self._named, ids):
            self._load(wanted)
            self._lock(sorted({one.id for one in self._named.all} - ids))
        return self._named

    def _load(self, tags: set[str]) -> None:
        self._asked, self._named = tags, MachinesByTag.named(tags)

    def _come_since(self, tags: set[str]) -> bool:
        """Tell whether a tag that no machine had is one's now."""
        lacking = {tag for tag in tags if self._named.find(tag) is None}
        return bool(lacking) and bool(MachinesByTag.named(lacking).by_tag)


def _signs(ids: Collection[int]) -> Signs:
    machines = Machine.objects.filter(pk__in=ids).order_by().values_list(*OF_MACHINE)
    meters = Meter.objects.filter(machine_id__in=ids).order_by().values_list(*OF_METER)
    return set(machines), set(meters)


def _signs_of(named: MachinesByTag, ids: Collection[int]) -> Signs:
    """Return the same of machines as they were loaded."""
    machines = {machine for machine in named.all if machine.id in ids}
    meters = [
        meter
        for (machine_id, _), own in named.fittings.by_place.items()
        if machine_id in ids
        for meter in own
    ]
    return (
        {tuple(getattr(one, name) for name in OF_MACHINE) for one in machines},
        {tuple(getattr(one, name) for name in OF_METER) for one in meters},
    )
