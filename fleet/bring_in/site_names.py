"""What the site has, by name: loaded once, so that a file of any length asks no more."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import TypeVar

from fleet.bring_in.name_matching import NamesOf, SeveralFit
from fleet.bring_in.outcomes import RowTrouble
from fleet.folded_names import squeezed
from fleet.identity import normal_serial
from fleet.models import (
    FormerTag,
    Machine,
    MachineClass,
    MakeUp,
    MakeUpMeter,
    Meter,
    Part,
    Person,
    Service,
    Shop,
    Skill,
    Yard,
)
from fleet.saying import joined

T = TypeVar("T")


@dataclass
class SiteNames:
    """Things of the site by name; those that an import makes are added as it goes.

    Machines and make-ups that are made are not saved yet, so their rows are known by `id()`.
    """

    shops: NamesOf[Shop] = field(default_factory=NamesOf)
    yards: NamesOf[Yard] = field(default_factory=NamesOf)
    classes: NamesOf[MachineClass] = field(default_factory=NamesOf)
    makeups: NamesOf[list[MakeUp]] = field(default_factory=NamesOf)
    models: NamesOf[list[MakeUp]] = field(default_factory=NamesOf)
    services: NamesOf[Service] = field(default_factory=NamesOf)
    skills: NamesOf[Skill] = field(default_factory=NamesOf)
    people: NamesOf[Person] = field(default_factory=NamesOf)
    usernames: dict[str, Person] = field(default_factory=dict)
    parts: NamesOf[Part] = field(default_factory=lambda: NamesOf(loose=False))
    machines: NamesOf[Machine] = field(default_factory=lambda: NamesOf(loose=False))
    serials: dict[str, Machine] = field(default_factory=dict)
    meters: dict[int, list[Meter]] = field(default_factory=dict)
    kinds: dict[int, set[str]] = field(default_factory=dict)
    by_pk: dict[int, Machine] = field(default_factory=dict)

    @classmethod
    def load(cls) -> "SiteNames":
        """Load all names; a fixed number of queries."""
        site = cls()
        for shop in Shop.objects.order_by("name"):
            site.shops.add(shop.name, shop)
        for yard in Yard.objects.select_related("shop").order_by("name"):
            site.yards.add(yard.name, yard)
        for one in MachineClass.objects.order_by("name"):
            site.classes.add(one.name, one)
        for makeup in MakeUp.objects.select_related("machine_class").order_by("pk"):
            site.add_makeup(makeup)
        for service in Service.objects.order_by("pk"):
            site.add_service(service)
        for skill in Skill.objects.order_by("name"):
            site.skills.add(skill.name, skill)
        for person in Person.objects.select_related("shop").order_by("pk"):
            site.add_person(person)
        for part in Part.objects.order_by("number"):
            site.parts.add(part.number, part)
        site._load_machines()
        return site

    def _load_machines(self) -> None:
        makeups = {one.pk: one for rows in self.makeups.exact.values() for one in rows}
        yards = {yard.pk: yard for yard in self.yards.exact.values()}
        by_pk = {}
        for machine in Machine.objects.order_by("tag"):
            machine.makeup = makeups[machine.makeup_id]
            machine.yard = yards[machine.yard_id]
            by_pk[machine.pk] = machine
            self.meters[id(machine)] = []
        for machine in by_pk.values():
            # an entry that was merged into another leads to the one that stays
            stays = by_pk.get(machine.merged_into_id or 0)
            if stays:
                self.machines.add(machine.tag, stays)
            else:
                self.add_machine(machine)
        for tag, pk in FormerTag.objects.values_list("tag", "machine_id"):
            self.machines.add(tag, by_pk[pk])
        self.by_pk = by_pk
        for meter in Meter.objects.order_by("fitted_at", "pk"):
            self.meters[id(by_pk[meter.machine_id])].append(meter)
        for pk, kind in MakeUpMeter.objects.values_list("makeup_id", "kind"):
            self.kinds[id(makeups[pk])].add(kind)

    def add_makeup(self, makeup: MakeUp) -> None:
        """Let a make-up be found by maker and model, and by its model alone."""
        for names, name in ((self.makeups, str(makeup)), (self.models, makeup.model)):
            if name in names.exact:
                names.exact[name].append(makeup)
            else:
                names.add(name, [makeup])
        self.kinds[id(makeup)] = set()

    def add_service(self, service: Service) -> None:
        """Let a service be found by its name and its code."""
        self.services.add(service.name, service)
        if squeezed(service.code) != squeezed(service.name):
            self.services.add(service.code, service)

    def add_person(self, person: Person) -> None:
        """Let a person be found by user name and by full name."""
        self.usernames[person.username.casefold()] = person
        self.people.add(person.username, person)
        if full := person.get_full_name():
            self.people.add(full, person)

    def add_machine(self, machine: Machine) -> None:
        """Let a machine be found by its tag, and its serial be known as taken."""
        self.machines.add(machine.tag, machine)
        self.meters.setdefault(id(machine), [])
        if machine.serial:
            self.serials.setdefault(normal_serial(machine.serial), machine)

    def machine(self, tag: str) -> Machine:
        """Return the machine of a tag.

        Raises:
            RowTrouble: none or more than one fits.

        """
        if not tag:
            raise RowTrouble("No machine is named; write its fleet tag.")
        found = said_once(self.machines, tag, "tag")
        if found is None:
            raise RowTrouble(
                f"No machine has the tag “{tag}”. Correct the tag, or bring the machine in first."
            )
        return found

    def meter_at(self, machine: Machine, kind: str, moment: datetime) -> Meter | None:
        """Return the meter of a kind that a machine carried at a moment."""
        fitted = None
        for meter in self.meters[id(machine)]:
            if meter.kind == kind and meter.fitted_at <= moment:
                fitted = meter
        if fitted and fitted.removed_at and fitted.removed_at < moment:
            return None
        return fitted

    def has_kinds(self, machine: Machine) -> list[str]:
        """Return the kinds of meter that a machine has or had."""
        return sorted({meter.kind for meter in self.meters[id(machine)]})


def said_once(names: NamesOf[T], written: str, what: str) -> T | None:
    """Return what is meant by a name; refuse the row where several fit.

    Raises:
        RowTrouble: with their names.

    """
    try:
        return names.find(written)
    except SeveralFit as several:
        said = joined([f"“{name}”" for name in several.names])
        raise RowTrouble(
            f"“{written}” fits more than one {what}: {said}. Write it as it is set up."
        ) from None
