"""The facts of a set of machines as flat arrays, with a number of queries that does not grow."""

from dataclasses import dataclass, field
from datetime import datetime

from scheduling.facts.booked_days import (
    BookedDays,
    Call,
    OpenHold,
    load_calls,
    load_holds,
    load_promises,
    load_storage,
)
from scheduling.facts.interval_rows import Rules, load_rules
from scheduling.facts.machine_arrays import MachineArrays, load_machines
from scheduling.facts.meter_arrays import MeterFacts, load_meters
from scheduling.facts.scope import Scope
from scheduling.facts.service_records import Measured, RecordArrays, load_book, load_measured
from scheduling.facts.stated_seasons import StatedSeason, load_seasons
from scheduling.facts.unsure_services import load_unsure


@dataclass(frozen=True)
class UseFacts:
    """What the use of machines is learnt from: meters, bookings, storage, seasons."""

    machines: MachineArrays
    meters: dict[str, MeterFacts]
    promises: list[BookedDays]
    storage: list[tuple[int, int, int | None]]
    seasons: list[StatedSeason] = field(default_factory=list)


@dataclass(frozen=True)
class Facts:
    """All facts of a set of machines of one shop from which consequences follow.

    unsure: machine row and service of which nobody knows when it was last done.
    """

    use: UseFacts
    book: RecordArrays
    measured: Measured
    rules: Rules
    holds: list[OpenHold]
    calls: list[Call]
    unsure: list[tuple[int, int]] = field(default_factory=list)

    @property
    def machines(self) -> MachineArrays:
        """Return the machines that the facts are about."""
        return self.use.machines


def load_use(scope: Scope, now: datetime) -> UseFacts:
    """Load what the use of the machines of a scope is learnt from."""
    machines = load_machines(scope, now)
    return UseFacts(
        machines=machines,
        meters=load_meters(machines, scope, now),
        promises=load_promises(machines, scope, now),
        storage=load_storage(machines, scope),
        seasons=load_seasons(scope),
    )


def load_facts(scope: Scope, now: datetime) -> Facts:
    """Load all facts of the machines of a scope."""
    use = load_use(scope, now)
    machines = use.machines
    return Facts(
        use=use,
        book=load_book(machines, scope, now),
        measured=load_measured(machines, scope, now),
        rules=load_rules(machines, scope),
        holds=load_holds(machines, scope, now),
        calls=load_calls(machines, scope, now),
        unsure=load_unsure(machines, scope, now),
    )
