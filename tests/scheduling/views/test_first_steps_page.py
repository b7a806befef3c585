"""The guided first run: from the empty site to the first plan, on the pages alone."""

import pytest
from django.urls import reverse

from fleet.models import Machine, MakeUp, Person, Role, Service, Shop, Yard
from scheduling.actions.first_plans import ask_first_plans
from scheduling.models import OutboxEntry, Plan
from scheduling.worker.perform import perform_entry
from tests import factories
from tests.factories import NOON
from tests.pages import answer, at_noon, sign_in, words  # noqa: F401

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]

STEPS = reverse("first-steps")


def none(*names):
    return {f"{name}-{end}": 0 for name in names for end in ("TOTAL_FORMS", "INITIAL_FORMS")}


def test_every_step_leads_to_the_next_and_the_plan_comes_by_itself(
    client, django_capture_on_commit_callbacks
):
    """Nothing but what a person sends from the pages; the worker does what it finds owed."""

    def press(name, data, args=()):
        with django_capture_on_commit_callbacks(execute=True):
            url = reverse(name, args=args) + "?back=first-steps"
            return client.post(url, data, follow=True)

    press("first-run", {"username": "ada", "password": "long grass 9", "again": "long grass 9"})
    page = press("set-up-shops-new", {
        "name": "North", "time_zone": "America/Denver", "units": "us", "bays": 2,
        "nightly_at": "2 am", "look_ahead_days": 14, "warn_days": 3, "horizon_days": 28,
        "frozen_days": 1, "overtime_limit_hours": 2, "overtime_cost_per_hour": 66,
        **{f"day_{day}": "7 to 17" for day in range(5)}, **none("closed_days"),
    })  # fmt: skip
    assert answer(page) == "1 of 8 steps are done. Next: yards."
    shop = Shop.objects.get()
    page = press("set-up-yards-new", {
        "name": "South", "shop": shop.pk, "time_zone": "America/Denver", "units": "us",
        "travel_hours": 0, "trip_cost": 0, "duty_factor": 1,
    })  # fmt: skip
    assert answer(page) == "2 of 8 steps are done. Next: people."
    page = press("set-up-people-new", {
        "username": "ingrid", "role": Role.MECHANIC, "shop": shop.pk, "is_active": "on",
        **{f"hours_{day}": 8 for day in range(5)}, **none("qualifications", "absences"),
    })  # fmt: skip
    assert answer(page) == "3 of 8 steps are done. Next: machines."
    press("set-up-make-ups-new", {
        "new_class": "Skid steer", "maker": "Tarnbeck", "model": "T90",
        **none("fluids", "fitting_parts"),
        "meters-TOTAL_FORMS": 1, "meters-INITIAL_FORMS": 0, "meters-0-kind": "hours",
    })  # fmt: skip
    makeup = MakeUp.objects.get()
    page = press("set-up-machines-new", {
        "tag": "MX-02", "makeup": makeup.pk, "yard": Yard.objects.get().pk, "duty_factor": 1,
        "started_on": "1 Jan 2020", **none("alterations", "storages"),
    })  # fmt: skip
    assert answer(page) == "4 of 8 steps are done. Next: services and intervals."
    press("set-up-services-new", {
        "name": "Oil change", "minutes": 45, "second_minutes": 0, "overdue_cost_per_day": 10,
        "value": 100, **none("steps", "needs", "limits"),
    })  # fmt: skip
    service = Service.objects.get()
    typed = {"service": service.pk, "every": "100 h", "anchor": "service"}
    seen = press("interval-new", typed | {"act": "look"}, [makeup.pk]).context["seen"]
    press("interval-new", typed | {"act": "save", "seen": seen}, [makeup.pk])
    page = client.get(STEPS)
    assert answer(page) == "5 of 8 steps are done. Next: what was done last."
    assert "still missing: nobody has said when any service was last done" in words(page).lower()
    machine = Machine.objects.get()
    last = {f"said-{machine.pk}-{service.pk}": "unknown", "key": "a"}
    press("last-done-of-class", last, [makeup.machine_class_id])
    assert answer(client.get(STEPS)) == "6 of 8 steps are done. Next: first readings."
    assert not Plan.objects.exists()
    no_plan = client.get(reverse("shop-days"))
    assert answer(no_plan) == "No plan yet: no meter has been read."
    press("meter-round", {
        f"value-{machine.meters.get().pk}": "1480", "yard": machine.yard_id, "key": "b",
    })  # fmt: skip
    ask_first_plans(NOON)  # as the worker's sweep does
    for entry in OutboxEntry.objects.filter(done_at=None, kind=OutboxEntry.Kind.REPLAN):
        perform_entry(entry.pk, NOON)
    assert Plan.objects.get().jobs.get().mechanic == Person.objects.get(username="ingrid")
    page = client.get(STEPS)
    assert answer(page) == "All 8 steps are done, and the plan is there."
    assert "still missing" not in words(client.get(reverse("shop-days"))).lower()


def test_no_plan_is_called_the_best_while_something_is_missing(client):
    shop = factories.Shop()
    sign_in(client, shop=shop)
    factories.Mechanic(shop=shop)
    machine = factories.Machine(tag="MX-02", yard__shop=shop)
    Plan.objects.create(
        shop=shop, made_at=NOON, first_day=NOON.date(), days=28, total=100, bound=100, gap=0
    )
    for name in ("yard", "shop-days"):
        shown = words(client.get(reverse(name)))
        assert "cheapest possible" not in shown
        assert "could still be saved" not in shown
        assert "No service recurs on any machine" in shown
        assert "Go on with the first steps" in shown
    assert machine.tag not in words(client.get(STEPS))


def test_the_yard_of_an_empty_site_leads_to_the_steps(client):
    person = factories.Person(shop=None)
    client.force_login(person)
    assert STEPS in client.get(reverse("yard")).text


def test_a_shop_can_be_begun_with_a_workbook(client):
    client.force_login(factories.Person(shop=None))
    assert f"{reverse('bring-in')}?back=first-steps" in client.get(STEPS).text


def test_the_steps_are_a_managers(client):
    sign_in(client, Role.MECHANIC)
    assert client.get(STEPS).status_code == 403


def test_the_queries_do_not_grow_with_the_fleet(client, django_assert_max_num_queries):
    person = sign_in(client)
    factories.Machine.create_batch(10, yard__shop=person.shop)
    factories.Interval.create_batch(5)
    with django_assert_max_num_queries(75):
        client.get(STEPS)
