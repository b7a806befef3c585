"""The facts of a set of machines as flat arrays, with a number of queries that does not grow."""

from dataclasses import dataclass, field
from datetime import datetime

from scheduling.loading.book import Book, Measured, load_book, load_measured
from scheduling.loading.machines import Machines, load_machines
from scheduling.loading.meters import MeterFacts, load_meters
from scheduling.loading.promises import (
    Call,
    Promise,
    Standing,
    load_calls,
    load_holds,
    load_promises,
    load_storage,
)
from scheduling.loading.rules import Rules, load_rules
from scheduling.loading.scope import Scope
from scheduling.loading.seasons import Season, load_seasons


@dataclass(frozen=True)
class UseFacts:
    """What the use of machines is learnt from: meters, bookings, storage, seasons."""

    machines: Machines
    meters: dict[str, MeterFacts]
    promises: list[Promise]
    storage: list[tuple[int, int, int | None]]
    seasons: list[Season] = field(default_factory=list)


@dataclass(frozen=True)
class Facts:
    """All facts of a set of machines of one shop from which consequences follow."""

    use: UseFacts
    book: Book
    measured: Measured
    rules: Rules
    holds: list[Standing]
    calls: list[Call]

    @property
    def machines(self) -> Machines:
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
    )
