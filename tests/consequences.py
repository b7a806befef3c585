"""Builders of consequences for tests that start from them, not from the facts behind them."""

from datetime import timedelta

import factory
from factory.django import DjangoModelFactory

from fleet.work_keys import service_key
from scheduling import models
from tests import factories
from tests.factories import NOON, TODAY


class DuePoint(DjangoModelFactory):
    class Meta:
        model = models.DuePoint

    machine = factory.SubFactory(factories.Machine)
    service = factory.SubFactory(factories.Service)
    state = models.State.COMING_DUE


class MachineState(DjangoModelFactory):
    class Meta:
        model = models.MachineState

    machine = factory.SubFactory(factories.Machine)
    state = models.State.CLEAR
    computed_for = TODAY


class Block(DjangoModelFactory):
    """A block from a due point of the same machine, open-ended from today."""

    class Meta:
        model = models.Block

    machine = factory.SubFactory(factories.Machine)
    kind = models.Block.Kind.OVERDUE
    first_day = TODAY
    due_point = factory.SubFactory(DuePoint, machine=factory.SelfAttribute("..machine"))


class Plan(DjangoModelFactory):
    class Meta:
        model = models.Plan

    shop = factory.SubFactory(factories.Shop)
    made_at = NOON
    first_day = TODAY
    days = 28


class PlannedJob(DjangoModelFactory):
    class Meta:
        model = models.PlannedJob

    plan = factory.SubFactory(Plan)
    machine = factory.SubFactory(factories.Machine)
    day = TODAY
    mechanic = factory.SubFactory(factories.Mechanic)
    minutes = 90


class PlannedWork(DjangoModelFactory):
    """One service of a planned job of the same machine."""

    class Meta:
        model = models.PlannedWork

    plan = factory.SelfAttribute("job.plan")
    job = factory.SubFactory(PlannedJob)
    machine = factory.SelfAttribute("job.machine")
    service = factory.SubFactory(factories.Service)
    work_key = factory.LazyAttribute(lambda o: service_key(o.machine.pk, o.service.pk))
    minutes = 60


class OutboxEntry(DjangoModelFactory):
    class Meta:
        model = models.OutboxEntry

    key = factory.Sequence(lambda n: f"entry:{n}")
    kind = models.OutboxEntry.Kind.SEND
    due_at = NOON
    made_at = NOON


class NightlyRun(DjangoModelFactory):
    """A night that went well, an hour before NOON."""

    class Meta:
        model = models.NightlyRun

    shop = factory.SubFactory(factories.Shop)
    day = TODAY
    started_at = NOON - timedelta(hours=1)
    finished_at = factory.SelfAttribute("started_at")
    report = factory.LazyFunction(lambda: {"ok": True, "seconds": 1.5, "stages": {}})


class KeptCopy(DjangoModelFactory):
    class Meta:
        model = models.KeptCopy

    day = TODAY
    made_at = NOON
    file = "evener.zip"


class Notice(DjangoModelFactory):
    class Meta:
        model = models.Notice

    kind = models.Notice.Kind.MORNING
    person = factory.SubFactory(factories.Person)
    shop = factory.SelfAttribute("person.shop")
    subject = "3 machines overdue"
    text = "3 machines overdue\n"
    html = "<p>3 machines overdue</p>"
    made_at = NOON


class PlanSearch(DjangoModelFactory):
    class Meta:
        model = models.PlanSearch

    shop = factory.SubFactory(factories.Shop)
    cause = models.PlanSearch.Cause.HAND
    asked_at = NOON
    stage = "waiting for its turn"


class Trial(DjangoModelFactory):
    """A trial with the shop closed on the day after TODAY."""

    class Meta:
        model = models.Trial

    by = factory.SubFactory(factories.Person)
    shop = factory.SelfAttribute("by.shop")
    changes = factory.LazyFunction(lambda: [{"what": "closed", "day": "2026-03-03", "reason": ""}])
    made_at = NOON
