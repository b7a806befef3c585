"""Which of a shop's machines, services and bookings the Yard shows."""

from dataclasses import dataclass

from django.db.models import QuerySet

from fleet.models import Machine, MachineClass, Service, Shop, Yard
from scheduling.queries.fleet_state import in_state
from scheduling.queries.overdue_services import Overdue
from scheduling.queries.risk_advice import AtRisk


@dataclass(frozen=True)
class YardNarrowing:
    """What is wanted; what is left out does not narrow.

    state: of the machine; of a booking at risk that of its mark.
    """

    yard: Yard | None = None
    machine_class: MachineClass | None = None
    service: Service | None = None
    state: str = ""

    @property
    def narrows(self) -> bool:
        """Whether anything is left out."""
        return bool(self.yard or self.machine_class or self.service or self.state)

    def machines(self, rows: QuerySet[Machine]) -> QuerySet[Machine]:
        """Return the machines that are wanted."""
        if self.yard:
            rows = rows.filter(yard=self.yard)
        if self.machine_class:
            rows = rows.filter(makeup__machine_class=self.machine_class)
        return in_state(rows, self.state) if self.state else rows

    def machine_ids(self, shop: Shop) -> set[int]:
        """Return the machines of a shop that are wanted, retired ones too; one query."""
        rows = self.machines(Machine.objects.filter(yard__shop=shop))
        return set(rows.order_by().values_list("pk", flat=True))

    def takes(self, machine: Machine) -> bool:
        """Whether a machine is of the yard and class that are wanted."""
        if self.yard and machine.yard_id != self.yard.pk:
            return False
        kind = self.machine_class
        return kind is None or machine.makeup.machine_class_id == kind.pk

    def overdue(self, rows: list[Overdue]) -> list[Overdue]:
        """Return the overdue services that are wanted."""
        return [
            row
            for row in rows
            if self.takes(row.machine)
            and (self.service is None or row.point.service_id == self.service.pk)
            and self.state in ("", "overdue")
        ]

    def at_risk(self, entry: AtRisk) -> bool:
        """Whether a booking at risk is wanted."""
        return self.takes(entry.booking.machine) and self._fits(entry)

    def _fits(self, entry: AtRisk) -> bool:
        if self.state and entry.state != self.state:
            return False
        if self.service is None:
            return True
        pk = self.service.pk
        return any(
            (block.due_point and block.due_point.service_id == pk)
            or any(row["service"] == pk for row in block.works)
            for block in entry.blocks
        )
