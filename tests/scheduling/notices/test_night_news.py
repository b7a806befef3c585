"""What a night tells beside bookings: once a thing and person, again when it came back."""

from datetime import timedelta

import pytest

from scheduling.models import MachineState, Notice
from scheduling.notices.night_news import tell_night_news
from scheduling.notices.site_news import LATE, tell_of_site
from tests import consequences, factories
from tests.factories import NOON, TODAY

DAY = timedelta(days=1)


def night(shop, days=0):
    now = NOON + days * DAY
    tell_night_news(shop, now.date(), now)
    rows = Notice.objects.filter(made_at=now).order_by("pk")
    return [(row.kind, row.person.username, row.subject) for row in rows]


def test_what_is_newly_overdue_is_told_once_and_again_when_it_came_back(shop, manager, machine):
    point = consequences.DuePoint(machine=machine, state="overdue")
    assert night(shop) == [("overdue", "mara", "1 newly overdue")]
    assert night(shop, 1) == []
    consequences.DuePoint(machine=machine, state="overdue")
    assert night(shop, 2) == [("overdue", "mara", "1 newly overdue")]
    type(point).objects.filter(pk=point.pk).update(state="clear")
    assert night(shop, 3) == []
    type(point).objects.filter(pk=point.pk).update(state="overdue")
    assert night(shop, 4) == [("overdue", "mara", "1 newly overdue")]


def test_wear_at_its_limit_is_told_to_manager_and_mechanic(shop, manager, machine):
    factories.Mechanic(username="mick", shop=shop)
    consequences.DuePoint(machine=machine, state="due", driver="trend", why="2.1 mm left of 2 mm")
    assert [(kind, who) for kind, who, _ in night(shop)] == [("trend", "mara"), ("trend", "mick")]
    assert "2.1 mm left of 2 mm" in Notice.objects.first().text


def test_a_reading_is_asked_of_whoever_is_nearest(shop, manager, desk, machine):
    factories.Mechanic(username="mick", shop=shop)
    away = factories.Machine(yard=machine.yard)
    booking = factories.Booking(machine=away)
    factories.models.HandOver.objects.create(booking=booking, direction="out", at=NOON)
    for one in (machine, away):
        MachineState.objects.update_or_create(
            machine=one,
            defaults={"computed_for": TODAY, "reading_gain": 5, "reading_why": "40 days old"},
        )
    assert [(kind, who) for kind, who, _ in night(shop)] == [
        ("reading", "dale"), ("reading", "mick"),
    ]  # fmt: skip
    texts = dict(Notice.objects.values_list("person__username", "text"))
    assert away.tag in texts["dale"]
    assert machine.tag in texts["mick"]


def test_parts_that_the_shelf_cannot_give_are_told(shop, manager, machine):
    part = factories.Part(name="oil filter")
    work = consequences.PlannedWork(
        job=consequences.PlannedJob(plan=consequences.Plan(shop=shop), machine=machine)
    )
    factories.models.ServiceNeed.objects.create(service=work.service, place="oil filter")
    factories.models.FittingPart.objects.create(
        makeup=machine.makeup, part=part, place="oil filter", quantity=1
    )
    assert night(shop) == [("parts", "mara", "1 parts or fluids to order")]
    assert "1 × needed" in Notice.objects.get().text
    assert night(shop, 1) == []


def test_what_a_substitute_on_the_shelf_covers_is_not_told_and_the_rest_is(shop, manager, machine):
    """Two filters are wanted by two machines, and one long one lies there that does on both."""
    models = factories.models
    other = factories.Part(name="long filter")
    models.StockMovement.objects.create(part=other, shop=shop, quantity=1, reason="count", at=NOON)
    plan, service = consequences.Plan(shop=shop), factories.Service()
    models.ServiceNeed.objects.create(service=service, place="oil filter")
    models.FittingPart.objects.create(
        makeup=machine.makeup, part=factories.Part(name="oil filter"), place="oil filter",
        instead=other,
    )  # fmt: skip
    second = factories.Machine(makeup=machine.makeup, yard=machine.yard)
    consequences.PlannedWork(
        job=consequences.PlannedJob(plan=plan, machine=machine, day=TODAY + 2 * DAY),
        service=service,
    )
    assert night(shop) == []
    consequences.PlannedWork(
        job=consequences.PlannedJob(plan=plan, machine=second, day=TODAY + 3 * DAY),
        service=service,
    )
    assert night(shop, 1) == [("parts", "mara", "1 parts or fluids to order")]
    assert "1 × needed, 0 × on the shelf" in Notice.objects.get().text


@pytest.mark.parametrize(
    ("entry", "subject"),
    [
        ({"made_at": NOON - LATE}, "The night of Cold Fork is late"),
        ({"attempts": 3, "error": "the database was busy"}, "The night of Cold Fork failed"),
    ],
)
def test_a_night_late_or_failed_is_told_to_the_manager_once_a_day(shop, manager, entry, subject):
    consequences.OutboxEntry(kind="nightly", payload={"shop": shop.pk}, **entry)
    assert tell_of_site(NOON) == 1
    assert tell_of_site(NOON + timedelta(hours=1)) == 0
    assert Notice.objects.get().subject == subject
    assert tell_of_site(NOON + DAY) == 1


def test_a_copy_that_could_not_be_made_is_told_beside_it(shop, manager):
    consequences.KeptCopy(error="There is no room left on the disk.")
    consequences.OutboxEntry(kind="nightly", payload={"shop": shop.pk}, made_at=NOON - LATE)
    assert tell_of_site(NOON) == 2
    assert tell_of_site(NOON) == 0


def test_where_all_is_well_nothing_is_told(shop, manager):
    consequences.KeptCopy(read_back_at=NOON)
    consequences.OutboxEntry(kind="nightly", payload={"shop": shop.pk}, attempts=1, error="busy")
    assert tell_of_site(NOON) == 0
