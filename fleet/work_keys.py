"""The keys by which facts and plans call one piece of work: made here, and read here alone.

    m:41:7   service 7 of machine 41
    f:12     finding 12, put right

The numbers are the rows' own and never change, so a key outlives every rebuild of the schedule, a
new tag of the machine and a new code of the service.  One piece of work has one key: two keys are
of the same work where their texts are equal, and a database compares them as texts.

Earlier releases wrote `s:TAG:CODE` for a service.  Both may be bare numbers ("41", "7"), so the
keys of today begin with another letter, and none is ever taken for one of those.  Where the
machine or the service had gone before the upgrade, the old text stands still; it names nothing.
"""

import re
from dataclasses import dataclass

LARGEST = 2**63 - 1
"""The largest number that a row can have, in either database."""

SERVICE = re.compile(r"m:([1-9][0-9]*):([1-9][0-9]*)")
REPAIR = re.compile(r"f:([1-9][0-9]*)")


@dataclass(frozen=True)
class ServiceKey:
    """One service of one machine, by the numbers of their rows; its text is `m:41:7`."""

    machine: int
    service: int

    def __post_init__(self) -> None:
        """Refuse what is no number of a row: ValueError says which."""
        _require_row("machine", self.machine)
        _require_row("service", self.service)

    def __str__(self) -> str:
        return f"m:{self.machine}:{self.service}"


@dataclass(frozen=True)
class RepairKey:
    """A finding that is put right, by the number of its row; its text is `f:12`."""

    finding: int

    def __post_init__(self) -> None:
        """Refuse what is no number of a row: ValueError says which."""
        _require_row("finding", self.finding)

    def __str__(self) -> str:
        return f"f:{self.finding}"


WorkKey = ServiceKey | RepairKey
"""What one piece of work is called by."""


def service_key(machine: int, service: int) -> str:
    """Return the text of a key: a service of a machine, both by the numbers of their rows."""
    return str(ServiceKey(machine, service))


def repair_key(finding: int) -> str:
    """Return the text of a key: a finding, by the number of its row."""
    return str(RepairKey(finding))


def read_key(text: str) -> WorkKey:
    """Return what a text names; ValueError where it is not what `str` of a key gives."""
    try:
        if match := SERVICE.fullmatch(text):
            return ServiceKey(int(match[1]), int(match[2]))
        if match := REPAIR.fullmatch(text):
            return RepairKey(int(match[1]))
    except ValueError as error:  # a number of more digits than a row can have
        raise ValueError(f"{text!r:.60} names no piece of work.") from error
    raise ValueError(f"{text!r:.60} names no piece of work.")


def key_if_any(text: str) -> WorkKey | None:
    """Return what a text names; None where it names nothing, as keys do whose machine has gone."""
    try:
        return read_key(text)
    except ValueError:
        return None


def _require_row(what: str, number: int) -> None:
    if type(number) is not int or not 0 < number <= LARGEST:
        raise ValueError(f"{number!r:.60} is no {what}: a row's number is a whole one from 1 up.")
