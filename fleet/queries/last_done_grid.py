"""The machines of a class beside their services: when each was last done, as far as known."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field

from django.core.paginator import Page, Paginator
from django.db.models import F, Window
from django.db.models.functions import RowNumber

from fleet.models import (
    Interval,
    LastDoneAnswer,
    Machine,
    MachineClass,
    Person,
    RecordedMeter,
    Service,
    ServiceRecord,
)
from fleet.queries.covered_services import CoveredServices, covered_services
from fleet.queries.mine import machines_of
from fleet.queries.standing_records import standing_records

A_PAGE = 25
"""Machines on one page."""

Place = tuple[int, int]
"""A machine and a service, by their keys."""


@dataclass(frozen=True)
class LastDone:
    """What is known of one service of one machine.

    kind: of the meter on which it recurs, "" for none.  record: the last standing entry of the
    book; noted: what the meter showed then.  within: a service done later that covers it.
    answer: what was said instead of a day, if anything.
    """

    machine: Machine
    service: Service
    kind: str
    record: ServiceRecord | None = None
    noted: RecordedMeter | None = None
    within: ServiceRecord | None = None
    answer: str = ""

    @property
    def known(self) -> bool:
        """Whether the book or a person says when it was last done."""
        return bool(self.record or self.within or self.answer)


@dataclass(frozen=True)
class LastDoneGrid:
    """One page of a class: its services as columns, a row of places for each machine."""

    machine_class: MachineClass
    page: Page[Machine]
    services: list[Service]
    rows: list[tuple[Machine, list[LastDone | None]]]


@dataclass(frozen=True)
class ClassToAsk:
    """A class with how many of its services are not answered yet, of how many."""

    machine_class: MachineClass
    machines: int
    asked: int
    open: int


@dataclass
class _Rules:
    """Which services recur on a make-up or on one machine, and on which kind of meter."""

    makeup: dict[int, dict[int, str]] = field(default_factory=lambda: defaultdict(dict))
    machine: dict[int, dict[int, str]] = field(default_factory=lambda: defaultdict(dict))

    @classmethod
    def load(cls) -> "_Rules":
        rules = cls()
        fields = ("makeup_id", "machine_id", "service_id", "meter_kind")
        for makeup, machine, service, kind in Interval.objects.values_list(*fields):
            if makeup is not None:
                rules.makeup[makeup][service] = kind
            elif machine is not None:
                rules.machine[machine][service] = kind
        return rules

    def of(self, machine: int, makeup: int) -> dict[int, str]:
        """Return service -> kind of meter; a machine's own interval stands before its make-up's."""
        return {**self.makeup.get(makeup, {}), **self.machine.get(machine, {})}


def last_done_grid(person: Person, machine_class: MachineClass, page: str) -> LastDoneGrid:
    """Return a page of a class; the number of queries is fixed."""
    ours = machines_of(person).filter(makeup__machine_class=machine_class, retired_on=None)
    shown = Paginator(ours.order_by("tag"), A_PAGE).get_page(page)
    rules, machines = _Rules.load(), list(shown)
    of = {machine.pk: rules.of(machine.pk, machine.makeup_id) for machine in machines}
    services = list(Service.objects.filter(pk__in={pk for kinds in of.values() for pk in kinds}))
    known = _Known.load(of)
    rows = [
        (
            machine,
            [
                known.place(machine, service, of[machine.pk][service.pk])
                if service.pk in of[machine.pk]
                else None
                for service in services
            ],
        )
        for machine in machines
    ]
    return LastDoneGrid(machine_class, shown, services, rows)


def places_of(person: Person, machine_ids: Collection[int]) -> dict[Place, LastDone]:
    """Return what is known of every service of these machines, those that the person may see."""
    machines = machines_of(person).filter(pk__in=machine_ids, retired_on=None)
    rules = _Rules.load()
    of = {machine.pk: rules.of(machine.pk, machine.makeup_id) for machine in machines}
    services = Service.objects.in_bulk({pk for kinds in of.values() for pk in kinds})
    known = _Known.load(of)
    return {
        (machine.pk, pk): known.place(machine, services[pk], kind)
        for machine in machines
        for pk, kind in of[machine.pk].items()
    }


@dataclass
class _Known:
    """The last entries and answers of some machines; four queries."""

    records: dict[Place, ServiceRecord]
    noted: dict[int, RecordedMeter]
    answers: dict[Place, str]
    covered: CoveredServices

    @classmethod
    def load(cls, machine_ids: Iterable[int]) -> "_Known":
        ids = list(machine_ids)
        ranked = Window(
            RowNumber(), partition_by=[F("machine_id"), F("service_id")],
            order_by=[F("done_at").desc(), F("pk").desc()],
        )  # fmt: skip
        rows = standing_records().filter(machine__in=ids, service__isnull=False)
        last = list(rows.annotate(rank=ranked).filter(rank=1))
        noted = RecordedMeter.objects.filter(record__in=[row.pk for row in last])
        said = LastDoneAnswer.objects.filter(machine__in=ids).order_by("said_at", "pk")
        return cls(
            {(row.machine_id, row.service_id or 0): row for row in last},
            {row.record_id: row for row in noted.select_related("meter")},
            {(row.machine_id, row.service_id): row.answer for row in said},
            covered_services(),
        )

    def place(self, machine: Machine, service: Service, kind: str) -> LastDone:
        """Return what is known of one service of a machine."""
        record = self.records.get((machine.pk, service.pk))
        wider = self.covered.covering(machine.makeup_id, service.pk)
        upper = [self.records.get((machine.pk, pk)) for pk in wider]
        with_it = [one for one in upper if one and service.pk not in one.services_left_out]
        within = max(with_it, key=lambda one: one.done_at, default=None)
        if record and within and within.done_at <= record.done_at:
            within = None
        return LastDone(
            machine,
            service,
            kind,
            record,
            self.noted.get(record.pk) if record else None,
            within,
            self.answers.get((machine.pk, service.pk), ""),
        )


def classes_to_ask(person: Person) -> list[ClassToAsk]:
    """Return the classes with how much of each is still to be said; six queries."""
    machines = list(
        machines_of(person)
        .filter(retired_on=None)
        .select_related(None)
        .values_list("pk", "makeup_id", "makeup__machine_class_id")
    )
    rules, covered = _Rules.load(), covered_services()
    recorded = standing_records().filter(service__isnull=False)
    known = set(recorded.order_by().values_list("machine_id", "service_id").distinct())
    known |= set(LastDoneAnswer.objects.order_by().values_list("machine_id", "service_id"))
    count: dict[int, list[int]] = defaultdict(lambda: [0, 0, 0])
    for pk, makeup, its_class in machines:
        asked = rules.of(pk, makeup)
        still = [
            service
            for service in asked
            if not any((pk, one) in known for one in (service, *covered.covering(makeup, service)))
        ]
        for place, more in enumerate((1, len(asked), len(still))):
            count[its_class][place] += more
    classes = MachineClass.objects.filter(pk__in=count)
    return [ClassToAsk(one, *count[one.pk]) for one in classes]
