"""The way from an empty site to the first plan: what is done, and what comes next."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from fleet.models import Machine, MakeUp, Person, Role, Shop, Yard
from fleet.queries.last_done_grid import classes_to_ask
from fleet.queries.mine import day_of, shops_of
from fleet.queries.set_up_needs import (
    SetUpPart,
    machines_without_interval,
    machines_without_reading,
    parts_of_set_up,
)
from fleet.saying import counted
from scheduling.models import Plan
from scheduling.queries.plan_needs import PlanNeeds, plan_needs


@dataclass(frozen=True)
class FirstStep:
    """One step: what it is, whether it is done, what there is to say of it, where it is done.

    page: name of an address.  others: further ways, as (name of an address, what it says).
    """

    title: str
    done: bool
    says: str
    page: str
    press: str
    others: Sequence[tuple[str, str]] = ()


@dataclass(frozen=True)
class FirstSteps:
    """All steps, and the first that is not done."""

    steps: list[FirstStep]

    @property
    def done(self) -> int:
        """How many are done."""
        return sum(step.done for step in self.steps)

    @property
    def next(self) -> FirstStep | None:
        """The step to take now; None where all are done."""
        return next((step for step in self.steps if not step.done), None)


def first_steps(person: Person, now: datetime) -> FirstSteps:
    """Return the steps as they stand; the number of queries is fixed for a number of shops."""
    today = day_of(person, now)
    parts = {part.page: part for part in parts_of_set_up(today)}
    steps = [*_places(), _people(parts), *_machines(), _rules(), _past(person), _readings()]
    return FirstSteps([*steps, _plan(person, now)])


def _places() -> list[FirstStep]:
    shops, closed = Shop.objects.count(), Shop.objects.filter(hours=None).count()
    alone, yards = Shop.objects.filter(yards=None).count(), Yard.objects.count()
    return [
        FirstStep(
            "Shop and its hours", bool(shops) and not closed,
            counted(shops, "shop") if shops else "where work is done, and when it is open",
            "set-up-shops" if shops else "set-up-shops-new", "Put the shop in",
            [("bring-in", "Or begin with one workbook of everything")],
        ),
        FirstStep(
            "Yards", bool(yards) and not alone,
            counted(yards, "yard") if yards else "where the machines live",
            "set-up-yards-new", "Put a yard in",
        ),
    ]  # fmt: skip


def _people(parts: dict[str, SetUpPart]) -> FirstStep:
    works = Person.objects.filter(
        role=Role.MECHANIC, is_active=True, shop__isnull=False, working_hours__hours__gt=0
    ).distinct()
    many = works.count()
    people = parts["set-up-people"].count
    says = f"{counted(people, 'person', 'people')}, {counted(many, 'mechanic')} with working hours"
    return FirstStep(
        "People", bool(many), says, "set-up-people-new", "Put a person in",
    )  # fmt: skip


def _machines() -> list[FirstStep]:
    machines, makeups = Machine.objects.filter(retired_on=None).count(), MakeUp.objects.count()
    by_hand = [
        ("set-up-make-ups-new", "Or a kind of machine by hand"),
        ("set-up-machines-new", "Or a machine by hand"),
    ]
    return [
        FirstStep(
            "Machines", bool(machines),
            f"{counted(machines, 'machine')} of {counted(makeups, 'make-up')}"
            if machines else "from your spreadsheets, or by hand",
            "bring-in", "Bring your spreadsheets in", by_hand,
        )
    ]  # fmt: skip


def _rules() -> FirstStep:
    bare, any_one = machines_without_interval().count(), Machine.objects.exists()
    says = "how often each service recurs, from the machine's own manual"
    if any_one and bare:
        says = f"no service recurs on {counted(bare, 'machine')} yet"
    elif any_one:
        says = "a service recurs on every machine"
    return FirstStep(
        "Services and intervals", any_one and not bare, says, "all-intervals",
        "Set how often services recur", [("set-up-services-new", "A new service")],
    )  # fmt: skip


def _past(person: Person) -> FirstStep:
    classes = classes_to_ask(person)
    still, asked = sum(one.open for one in classes), sum(one.asked for one in classes)
    says = f"{still} of {counted(asked, 'service')} still to say" if asked else "day and meter"
    return FirstStep(
        "What was done last", bool(asked) and not still, says, "last-done", "Say what was done last"
    )


def _readings() -> FirstStep:
    unread, any_one = machines_without_reading().count(), Machine.objects.exists()
    says = f"{counted(unread, 'machine')} never read" if unread else "every meter has been read"
    return FirstStep(
        "First readings", any_one and not unread, says if any_one else "what the meters show now",
        "meter-round", "Read the meters",
    )  # fmt: skip


def _plan(person: Person, now: datetime) -> FirstStep:
    """Say whether every shop has its plan, or what keeps it from one."""
    shops = list(shops_of(person))
    planned = set(Plan.objects.filter(shop__in=shops).values_list("shop", flat=True))
    needs = [plan_needs(shop, now.astimezone(shop.zone).date()) for shop in shops]
    lacking = next((each for each in needs if each.first), PlanNeeds())
    done = bool(shops) and planned >= {shop.pk for shop in shops} and not lacking.first
    says = "it is there" if done else "it comes by itself when the rest is there"
    if lacking.first:
        says = f"still missing: {lacking.first[0]}"
    return FirstStep("The first plan", done, says, "shop-days", "Look at the shop days")
