"""Builders of facts for tests; invented people and machines alone."""

from datetime import UTC, date, datetime, time

import factory
from factory.django import DjangoModelFactory

from fleet import models
from fleet.actions.keep_times import give_times
from fleet.folded_names import name_key
from fleet.work_keys import service_key

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
"""A Monday; the usual "now" of a test, always handed in, never read from a clock."""
TODAY = NOON.date()


def key_of(machine, code):
    """Return the key of a service of a machine; both stand in the database.

    machine: itself or its tag.
    """
    if isinstance(machine, str):
        machine = models.Machine.objects.get(tag=machine)
    return service_key(machine.pk, models.Service.objects.get(code=code).pk)


class Shop(DjangoModelFactory):
    class Meta:
        model = models.Shop
        skip_postgeneration_save = True

    name = factory.Sequence(lambda n: f"Shop {n}")

    @factory.post_generation
    def weekdays(self, create, extracted, **kwargs):
        """Open Monday to Friday, 07:00 to 17:00."""
        for weekday in range(5):
            models.ShopHours.objects.create(
                shop=self, weekday=weekday, opens=time(7), closes=time(17)
            )


class Yard(DjangoModelFactory):
    class Meta:
        model = models.Yard

    name = factory.Sequence(lambda n: f"Yard {n}")
    shop = factory.SubFactory(Shop)


class Skill(DjangoModelFactory):
    class Meta:
        model = models.Skill
        django_get_or_create = ["name"]

    name = "general"


class Person(DjangoModelFactory):
    class Meta:
        model = models.Person
        skip_postgeneration_save = True

    username = factory.Sequence(lambda n: f"person{n}")
    email = factory.LazyAttribute(lambda o: f"{o.username}@example.org")
    role = models.Role.MANAGER
    shop = factory.SubFactory(Shop)


class Mechanic(Person):
    role = models.Role.MECHANIC

    @factory.post_generation
    def week(self, create, extracted, **kwargs):
        """General skill; eight hours Monday to Friday."""
        self.skills.add(Skill(name="general"))
        for weekday in range(5):
            models.WorkingHours.objects.create(person=self, weekday=weekday, hours=8)


class MachineClass(DjangoModelFactory):
    class Meta:
        model = models.MachineClass

    name = factory.Sequence(lambda n: f"Class {n}")
    day_rate = 100


class MakeUp(DjangoModelFactory):
    class Meta:
        model = models.MakeUp

    machine_class = factory.SubFactory(MachineClass)
    maker = "Tarnbeck"
    model = factory.Sequence(lambda n: f"T{n}")


class Machine(DjangoModelFactory):
    class Meta:
        model = models.Machine

    tag = factory.Sequence(lambda n: f"M-{n:03d}")
    serial = factory.Sequence(lambda n: f"TB{n:06d}")
    makeup = factory.SubFactory(MakeUp)
    yard = factory.SubFactory(Yard)
    started_on = date(2025, 1, 1)


class Meter(DjangoModelFactory):
    class Meta:
        model = models.Meter

    machine = factory.SubFactory(Machine)
    kind = models.MeterKind.HOURS
    fitted_at = datetime(2025, 1, 1, tzinfo=UTC)


class Reading(DjangoModelFactory):
    class Meta:
        model = models.Reading

    meter = factory.SubFactory(Meter)
    read_at = NOON
    value = 100.0
    source = models.Source.COUNTER
    entered_at = factory.SelfAttribute("read_at")


class Service(DjangoModelFactory):
    class Meta:
        model = models.Service

    code = factory.Sequence(lambda n: f"service-{n}")
    name = factory.Sequence(lambda n: f"Service {n}")
    minutes = 60


class Interval(DjangoModelFactory):
    class Meta:
        model = models.Interval

    service = factory.SubFactory(Service)
    makeup = factory.SubFactory(MakeUp)
    meter_kind = models.MeterKind.HOURS
    every = 100.0


def cover(makeup, upper, *lower):
    """Let doing one service count as doing others too, on a make-up."""
    for one in lower:
        models.Covering.objects.create(makeup=makeup, service=upper, covered=one)


class ServiceRecord(DjangoModelFactory):
    class Meta:
        model = models.ServiceRecord

    machine = factory.SubFactory(Machine)
    service = factory.SubFactory(Service)
    done_at = NOON
    entered_at = factory.SelfAttribute("done_at")


class Customer(DjangoModelFactory):
    """One of a name: the same name again is the same customer."""

    class Meta:
        model = models.Customer
        django_get_or_create = ["key", "twin"]

    name = factory.Sequence(lambda n: f"Customer {n}")
    key = factory.LazyAttribute(lambda o: name_key(o.name))
    twin = 0
    made_at = NOON


class Hire(DjangoModelFactory):
    class Meta:
        model = models.Hire

    customer = factory.SubFactory(Customer)
    made_at = NOON


class Booking(DjangoModelFactory):
    """One machine, on a hire of its own by the customer of that name."""

    class Meta:
        model = models.Booking

    machine = factory.SubFactory(Machine)
    hire = factory.SubFactory(
        Hire,
        customer__name=factory.SelfAttribute("...customer"),
        made_at=factory.SelfAttribute("..made_at"),
    )
    first_day = date(2026, 3, 5)
    last_day = date(2026, 3, 8)
    customer = "Alder Creek fencing"
    made_at = datetime(2026, 2, 20, 9, 0, tzinfo=UTC)

    @classmethod
    def _create(cls, model_class, *args, **said):
        booking = model_class(*args, **said)
        if not {"starts_at", "ends_at"} <= said.keys():
            give_times(booking)
        booking.save()
        return booking


class Finding(DjangoModelFactory):
    class Meta:
        model = models.Finding

    machine = factory.SubFactory(Machine)
    seen_at = NOON
    text = "hydraulic hose chafed"
    gravity = models.Finding.Gravity.DEFECT


class Hold(DjangoModelFactory):
    class Meta:
        model = models.Hold

    machine = factory.SubFactory(Machine)
    placed_at = NOON
    placed_by = factory.SubFactory(Person)
    reason = "brakes pull to the left"


class Part(DjangoModelFactory):
    class Meta:
        model = models.Part

    number = factory.Sequence(lambda n: f"P-{n:04d}")
    name = "oil filter"


class SeasonWeight(DjangoModelFactory):
    """A season of all machines and all days, unless told otherwise."""

    class Meta:
        model = models.SeasonWeight

    reason = "haying"
    weight = 2.0
    first_month = 1
    first_day = 1
    last_month = 12
    last_day = 31


class BayLoan(DjangoModelFactory):
    """One bay lent away for the week of TODAY."""

    class Meta:
        model = models.BayLoan

    shop = factory.SubFactory(Shop)
    first_day = TODAY
    last_day = date(2026, 3, 8)
    bays = -1


class LentHand(DjangoModelFactory):
    """A general hand from outside for the week of TODAY, eight hours a day."""

    class Meta:
        model = models.LentHand
        skip_postgeneration_save = True

    shop = factory.SubFactory(Shop)
    name = factory.Sequence(lambda n: f"Hand {n}")
    first_day = TODAY
    last_day = date(2026, 3, 8)

    @factory.post_generation
    def skilled(self, create, extracted, **kwargs):
        """General skill, or those given."""
        if create:
            self.skills.set(extracted or [Skill(name="general")])


class CapacitySpell(DjangoModelFactory):
    """Half the usual hours in the first week of March, every year."""

    class Meta:
        model = models.CapacitySpell

    shop = factory.SubFactory(Shop)
    reason = "haying"
    share = 0.5
    first_month = 3
    first_day = 1
    last_month = 3
    last_day = 7


class Delivery(DjangoModelFactory):
    class Meta:
        model = models.Delivery

    part = factory.SubFactory(Part)
    shop = factory.SubFactory(Shop)
    quantity = 4
    expected_on = date(2026, 3, 5)


class Progress(DjangoModelFactory):
    """An hour done of work, two to go, by somebody of the machine's shop."""

    class Meta:
        model = models.Progress

    machine = factory.SubFactory(Machine)
    work_key = factory.LazyAttribute(lambda o: service_key(o.machine.pk, 987654321))
    done_by = factory.SubFactory(Mechanic)
    at = NOON
    minutes = 60
    minutes_left = 120
