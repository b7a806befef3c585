"""Pages of our own for what is set up.  Now is Monday noon, 2 March 2026."""

from datetime import date, time

import pytest
from django.urls import reverse

from fleet.actions.keep_changes import ChangedValue, keep_change
from fleet.forms.things import THINGS
from fleet.models import (
    Absence,
    LoggedChange,
    Machine,
    MachineClass,
    MakeUp,
    MakeUpMeter,
    Meter,
    MeterKind,
    Part,
    Person,
    Reading,
    Role,
    Service,
    Shop,
    Source,
    StockMovement,
    Units,
    Yard,
)
from tests import factories
from tests.factories import NOON
from tests.pages import answer, at_noon, sign_in, words  # noqa: F401

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]


@pytest.fixture
def manager(client):
    return sign_in(
        client, Role.OWNER, shop=factories.Shop(time_zone="America/Denver", units=Units.US)
    )


def rows(name, *filled, kept=0):
    """Return the fields of the rows that belong to a thing."""
    data = {f"{name}-TOTAL_FORMS": len(filled), f"{name}-INITIAL_FORMS": kept}
    for number, row in enumerate(filled):
        data |= {f"{name}-{number}-{field}": value for field, value in row.items()}
    return data


def send(client, key, data, pk=None):
    url = reverse(f"set-up-{key}-edit", args=[pk]) if pk else reverse(f"set-up-{key}-new")
    return client.post(url, data, follow=True)


SHOP = {
    "name": "North shop", "time_zone": "America/Denver", "units": "us", "bays": 2,
    "nightly_at": "2 am", "look_ahead_days": 14, "warn_days": 3, "horizon_days": 28,
    "frozen_days": 1, "overtime_limit_hours": 2, "overtime_cost_per_hour": 66,
    "day_0": "7 am to 5:00 pm", "day_1": "7.30-17.00",
}  # fmt: skip


def test_a_shop_comes_with_its_hours_and_closed_days_as_people_write_them(client, manager):
    closed = rows("closed_days", {"day": "12/25", "reason": "Christmas"}, {})
    page = send(client, "shops", SHOP | closed)
    assert "North shop is kept" in words(page)
    shop = Shop.objects.get(name="North shop")
    assert shop.nightly_at == time(2)
    hours = [(row.weekday, row.opens, row.closes) for row in shop.hours.all()]
    assert hours == [(0, time(7), time(17)), (1, time(7, 30), time(17))]
    day = shop.closed_days.get()
    assert (day.day, day.by, day.at) == (date(2025, 12, 25), manager, NOON)
    assert LoggedChange.objects.get(kind="shop").act == "added"


def test_what_changed_is_logged_with_old_and_new(client, manager):
    shop = factories.Shop(name="North shop", time_zone="America/Denver")
    send(client, "shops", SHOP | {"bays": 3} | rows("closed_days"), shop.pk)
    change = LoggedChange.objects.get()
    told = {value["field"]: (value["old"], value["new"]) for value in change.values}
    assert (change.act, change.by) == ("changed", manager)
    assert told["bays"] == ("2", "3")
    assert told["shop hours Tuesday"] == ("07:00:00, 17:00:00", "07:30:00, 17:00:00")
    assert told["shop hours Friday"] == ("07:00:00, 17:00:00", "")


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"name": ""}, "required"),
        ({"time_zone": ""}, "Choose the time zone"),
        ({"day_0": "7 to 5"}, "write the afternoon as 17:00 or 5 pm"),
        ({"day_0": "all day"}, "not from when to when"),
        ({"day_0": "", "day_1": ""}, "never opens can do no work"),
        ({"nightly_at": "late"}, "not a time of day"),
        ({"closed_days-0-day": "31 Feb"}, "not a day of the calendar"),
    ],
)
def test_bad_input_is_said_at_its_field_and_nothing_is_lost(client, manager, fields, said):
    page = send(client, "shops", SHOP | rows("closed_days", {"reason": "fair"}) | fields)
    assert said in words(page)
    assert "Nothing has been saved yet" in words(page)
    assert 'value="fair"' in page.text
    assert not Shop.objects.filter(name="North shop").exists()


PERSON = {
    "username": "ingrid", "first_name": "Ingrid", "role": Role.MECHANIC, "is_active": "on",
    "hours_0": "8", "hours_1": "7.5",
}  # fmt: skip
NO_ROWS = rows("qualifications") | rows("absences")


def test_a_person_gets_password_hours_skills_and_days_away(client, manager):
    skill = factories.Skill(name="hydraulic")
    data = PERSON | {"shop": manager.shop_id, "password": "worn-out wrench 4"}
    data |= rows("qualifications", {"skill": skill.pk, "valid_until": "1 Jun 2027"})
    data |= rows("absences", {"first_day": "9 Mar 2026", "last_day": "13 Mar 2026"})
    send(client, "people", data)
    person = Person.objects.get(username="ingrid")
    assert person.check_password("worn-out wrench 4")
    hours = dict(person.working_hours.values_list("weekday", "hours"))
    assert hours == {0: 8.0, 1: 7.5}
    assert person.qualifications.get().valid_until == date(2027, 6, 1)
    assert Absence.objects.get().by == manager
    logged = str(LoggedChange.objects.values_list("values", flat=True))
    assert "worn-out" not in logged
    assert "password" in logged


FULL_WEEK = {f"hours_{day}": "8.0" for day in range(5)}


@pytest.mark.parametrize(
    ("role", "typed", "works"),
    [
        (Role.MECHANIC, {}, 5),  # as it stands in the form
        (Role.HAND, {}, 0),  # else the plan would give a ranch hand a mechanic's work
        (Role.DESK, {}, 0),
        (Role.HAND, {"hours_0": "4"}, 5),  # hours that somebody typed are meant
    ],
)
def test_the_plan_gets_hours_only_of_who_is_meant_to_work(client, manager, role, typed, works):
    data = PERSON | {"shop": manager.shop_id, "role": role} | FULL_WEEK | typed | NO_ROWS
    send(client, "people", data)
    assert Person.objects.get(username="ingrid").working_hours.count() == works


def test_days_away_on_days_off_are_said_to_change_nothing(client, manager):
    """They work on Mondays and Tuesdays; 11 and 12 March 2026 are a Wednesday and a Thursday."""
    data = PERSON | rows("qualifications") | {"shop": manager.shop_id, "password": "worn wrench 4"}
    days = {"first_day": "11 Mar 2026", "last_day": "12 Mar 2026"}
    page = send(client, "people", data | rows("absences", days))
    assert "does not work on those days anyway" in words(page)


def test_a_password_is_changed_and_one_that_is_too_easy_is_not(client, manager):
    person = factories.Mechanic(username="ingrid")
    old = person.password
    page = send(client, "people", PERSON | NO_ROWS | {"password": "12345"}, person.pk)
    assert "too short" in words(page)
    send(client, "people", PERSON | NO_ROWS, person.pk)
    person.refresh_from_db()
    assert person.password == old
    send(client, "people", PERSON | NO_ROWS | {"password": "worn-out wrench 4"}, person.pk)
    person.refresh_from_db()
    assert person.check_password("worn-out wrench 4")


def test_the_last_manager_cannot_go_and_a_name_is_taken_once(client, manager):
    data = PERSON | NO_ROWS | {"username": manager.username, "role": Role.DESK}
    assert "The last manager cannot go" in words(send(client, "people", data, manager.pk))
    data = PERSON | NO_ROWS | {"username": manager.username.upper()}
    assert "signs in by that name already" in words(send(client, "people", data))


def test_one_who_changes_their_own_password_stays_signed_in(client, manager):
    data = PERSON | NO_ROWS | {"username": manager.username, "role": Role.OWNER}
    page = send(client, "people", data | {"password": "worn-out wrench 4"}, manager.pk)
    assert "is kept" in words(page)


MAKE_UP = {"new_class": "Skid steer", "maker": "Tarnbeck", "model": "T90"}


def test_a_make_up_comes_with_class_meters_and_fluids_in_the_units_of_the_site(client, manager):
    data = MAKE_UP | rows("fitting_parts")
    data |= rows("meters", {"kind": MeterKind.HOURS, "rolls_over_at": "9999"})
    data |= rows("fluids", {"place": "engine oil", "grade": "15W-40", "capacity_ml": "2.5"})
    send(client, "make-ups", data)
    makeup = MakeUp.objects.get()
    assert makeup.machine_class == MachineClass.objects.get(name="Skid steer")
    assert makeup.meters.get().rolls_over_at == 9999.0
    assert makeup.fluids.get().capacity_ml == pytest.approx(2.5 * 946.352946)
    shown = client.get(reverse("set-up-make-ups-edit", args=[makeup.pk])).text
    assert 'value="2.5 qt"' in shown
    again = MAKE_UP | {"new_class": "skid STEER", "model": "T95"}
    send(client, "make-ups", again | rows("fitting_parts") | rows("meters") | rows("fluids"))
    assert MachineClass.objects.count() == 1


def test_how_a_make_up_is_built_is_said_in_its_own_form_and_told(client, manager):
    none = rows("fitting_parts") | rows("meters") | rows("fluids")
    built = {"trait-front-brakes": "drum", "trait-oil-cooler": "no"}
    send(client, "make-ups", MAKE_UP | built | none)
    makeup = MakeUp.objects.get()
    assert makeup.traits == {"front-brakes": "drum", "oil-cooler": "no"}
    page = client.get(reverse("set-up-make-ups-edit", args=[makeup.pk])).text
    assert '<option value="drum" selected>drum brakes in front</option>' in page
    send(client, "make-ups", MAKE_UP | {"trait-front-brakes": ""} | none, makeup.pk)
    makeup.refresh_from_db()
    assert makeup.traits == {"oil-cooler": "no"}  # what was not asked stays as it was
    assert "drum brakes in front" in str(LoggedChange.objects.latest("pk").values)


def test_a_make_up_needs_a_class(client, manager):
    data = MAKE_UP | {"new_class": ""}
    data |= rows("fitting_parts") | rows("meters") | rows("fluids")
    assert "Choose the class, or name a new one" in words(send(client, "make-ups", data))


@pytest.fixture
def makeup():
    makeup = factories.MakeUp()
    MakeUpMeter.objects.create(makeup=makeup, kind=MeterKind.HOURS, rolls_over_at=9999.0)
    return makeup


def machine_data(makeup, yard, **fields):
    data = {"tag": "MX-02", "makeup": makeup.pk, "yard": yard.pk, "duty_factor": "1", **fields}
    return data | rows("alterations") | rows("storages")


@pytest.fixture
def yard(manager):
    return factories.Yard(shop=manager.shop, time_zone="America/Denver", units=Units.US)


def test_a_machine_gets_the_meters_of_its_make_up(client, manager, makeup, yard):
    data = machine_data(makeup, yard, started_on="11/28/2025", now_hours="1,480", first_hours="900")
    assert "MX-02 is kept" in words(send(client, "machines", data))
    meter = Meter.objects.get()
    assert (meter.kind, meter.first_value, meter.rolls_over_at) == ("hours", 900.0, 9999.0)
    assert meter.fitted_at.astimezone(yard.zone).date() == date(2025, 11, 28)
    assert meter.fitted_at.date() == date(2025, 11, 28)  # by UTC too
    reading = Reading.objects.get()
    assert (reading.value, reading.source, reading.read_at) == (1480.0, Source.SET_UP, NOON)


def test_without_a_first_day_the_meter_counts_from_what_it_shows_now(client, manager, makeup, yard):
    send(client, "machines", machine_data(makeup, yard, now_hours="1480"))
    meter = Meter.objects.get()
    assert (meter.first_value, meter.fitted_at) == (1480.0, NOON)


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"started_on": "3 Mar 2026"}, "still to come"),
        ({"now_hours": "100", "first_hours": "200"}, "less now than on the first day"),
        ({"now_hours": "a lot"}, "is not a number"),
        ({"tag": "A/B"}, "no /, ? or #"),
        ({"makeup": ""}, "required"),
    ],
)
def test_what_a_machine_cannot_be_is_said(client, manager, makeup, yard, fields, said):
    data = machine_data(makeup, yard) | fields
    assert said in words(send(client, "machines", data))
    assert not Machine.objects.exists()


def test_a_meter_that_the_make_up_lacks_is_refused(client, manager, makeup, yard):
    MakeUpMeter.objects.create(makeup=factories.MakeUp(), kind=MeterKind.DISTANCE)
    data = machine_data(makeup, yard, now_distance="100")
    assert "has no odometer; leave it empty" in words(send(client, "machines", data))


def test_a_machine_is_edited_but_for_what_its_own_page_does(client, manager, makeup, yard):
    machine = factories.Machine(tag="MX-02", makeup=makeup, yard=yard)
    factories.Meter(machine=machine, first_value=5.0)
    page = client.get(reverse("set-up-machines-edit", args=[machine.pk]))
    assert 'name="tag"' not in page.text
    assert 'name="now_hours"' not in page.text  # it has its hour meter
    data = machine_data(makeup, yard, year="2019", day_rate="120", notes="short boom", tag="ZZ")
    data |= rows("alterations", {"text": "heavier springs", "extra_minutes": "10",
                                 "build": "front-brakes:disc"})  # fmt: skip
    send(client, "machines", data, machine.pk)
    assert machine.alterations.get().build == "front-brakes:disc"
    machine.refresh_from_db()
    assert (machine.tag, machine.year, machine.notes) == ("MX-02", 2019, "short boom")
    assert machine.alterations.get().noted_by == manager
    assert Meter.objects.get().first_value == 5.0
    change = LoggedChange.objects.get()
    assert change.machine == machine
    assert {"field": "model year", "old": "", "new": "2019"} in change.values


def test_a_service_comes_with_its_procedure(client, manager):
    data = {
        "name": "Oil change", "minutes": "45", "second_minutes": "0",
        "overdue_cost_per_day": "10", "value": "100",
    }  # fmt: skip
    data |= rows("steps", {"text": "Warm the engine"}, {"text": "Drain", "tool": "19 mm"}, {})
    data |= rows("needs", {"place": "engine oil", "share": "1"})
    data |= rows("limits", {"name": "oil pressure", "unit": "bar", "low": "2"})
    send(client, "services", data)
    service = Service.objects.get()
    assert service.code == "oil-change"
    assert list(service.steps.values_list("position", "text")) == [
        (1, "Warm the engine"), (2, "Drain"),
    ]  # fmt: skip
    assert service.needs.get().place == "engine oil"
    assert service.limits.get().low == 2.0


def test_a_fault_in_a_row_is_said_in_the_row(client, manager):
    data = {"name": "Oil change", "minutes": "45", "second_minutes": "0"}
    data |= {"overdue_cost_per_day": "10", "value": "100"} | rows("steps") | rows("needs")
    page = send(client, "services", data | rows("limits", {"name": "oil pressure"}))
    assert "Give a lower or an upper bound" in words(page)
    assert not Service.objects.exists()


def test_a_part_is_counted_and_never_rewritten(client, manager):
    data = {"number": "F-1", "name": "engine oil", "kind": Part.Kind.FLUID, "cost": "9"}
    count = {f"count_{manager.shop_id}": "4 qt"}
    send(client, "parts", data | count)
    part = Part.objects.get()
    send(client, "parts", data | {f"count_{manager.shop_id}": "3 qt"}, part.pk)
    moved = list(StockMovement.objects.order_by("pk").values_list("quantity", flat=True))
    assert moved == [pytest.approx(4 * 946.352946), pytest.approx(-946.352946)]


def test_a_fluid_comes_in_containers_and_a_filter_does_not(client, manager):
    data = {"number": "F-1", "name": "engine oil", "kind": Part.Kind.FLUID, "cost": "9"}
    send(client, "parts", data | {"container_ml": "1 gal"})
    part = Part.objects.get()
    assert part.container_ml == pytest.approx(3785.411784)
    assert (
        'name="container_ml" value="4.0 qt"'
        in client.get(reverse("set-up-parts-edit", args=[part.pk])).text
    )
    data |= {"kind": Part.Kind.PIECE, "container_ml": "5 L"}
    assert "Only a fluid comes in containers" in words(send(client, "parts", data, part.pk))


def test_a_yard_of_the_only_shop_takes_over_its_zone(client, manager):
    page = client.get(reverse("set-up-yards-new"))
    assert '<option value="America/Denver" selected>' in page.text
    data = {
        "name": "South yard", "shop": manager.shop_id, "time_zone": "America/Denver",
        "units": "us", "travel_hours": "0", "trip_cost": "0", "duty_factor": "1",
    }  # fmt: skip
    send(client, "yards", data)
    assert Yard.objects.get().shop == manager.shop


@pytest.mark.parametrize("key", [thing.key for thing in THINGS])
def test_each_thing_tells_on_its_page_what_was_changed_in_it(client, manager, key):
    row = next(thing for thing in THINGS if thing.key == key)
    made = {
        "shops": lambda: manager.shop,
        "people": lambda: manager,
        "make-ups": factories.MakeUp,
        "services": factories.Service,
        "parts": factories.Part,
    }.get(key, getattr(factories, row.model.__name__, None))
    one = made()
    other = keep_change(one, "changed", [ChangedValue("name", "old", "new")], by=manager, now=NOON)
    LoggedChange.objects.filter(pk=other.pk).update(reason="misspelt")
    LoggedChange.objects.create(at=NOON, kind=other.kind, subject_id=one.pk + 1, act="struck")
    page = words(client.get(reverse(f"set-up-{key}-edit", args=[one.pk])))
    assert "What was changed" in page
    assert "Why: misspelt" in page
    assert "Struck" not in page


def test_a_make_up_tells_of_its_intervals_too(client, manager):
    row = factories.Interval(service__name="Oil change")
    keep_change(row, "set", by=manager, now=NOON)
    page = words(client.get(reverse("set-up-make-ups-edit", args=[row.makeup_id])))
    assert "Interval Oil change on" in page


def test_what_has_a_history_stays_and_says_why(client, manager, yard):
    machine = factories.Machine(tag="MX-02", yard=yard)
    factories.ServiceRecord(machine=machine)
    page = client.get(reverse("set-up-machines-edit", args=[machine.pk]))
    assert "MX-02 has 1 service record, so it stays" in words(page)
    page = client.post(reverse("set-up-machines-out", args=[machine.pk]), follow=True)
    assert "what happened is never deleted" in words(page)
    assert Machine.objects.exists()


def test_what_nothing_has_come_of_can_go(client, manager):
    makeup = factories.MakeUp(model="T90")
    factories.Interval(makeup=makeup)
    page = client.post(reverse("set-up-make-ups-out", args=[makeup.pk]), follow=True)
    assert "Tarnbeck T90 is taken out" in words(page)
    assert not MakeUp.objects.exists()
    assert LoggedChange.objects.get().act == "taken out"


@pytest.mark.parametrize("thing", THINGS, ids=lambda thing: thing.key)
def test_the_pages_are_for_managers_and_lead_from_the_list(client, thing):
    sign_in(client, Role.MECHANIC)
    for name in ("", "-new"):
        assert client.get(reverse(f"set-up-{thing.key}{name}")).status_code == 403
    sign_in(client, Role.OWNER)
    assert client.get(reverse(f"set-up-{thing.key}")).status_code == 200
    assert client.get(reverse(f"set-up-{thing.key}-new")).status_code == 200
    assert client.get(reverse(f"set-up-{thing.key}-edit", args=[98765])).status_code == 404
    assert client.put(reverse(f"set-up-{thing.key}-new")).status_code == 405


def test_lists_are_found_by_words_and_cost_the_same_queries(
    client, manager, makeup, yard, django_assert_max_num_queries
):
    factories.Machine.create_batch(20, makeup=makeup, yard=yard)
    factories.Machine(tag="ZZ-9", yard=yard)
    url = reverse("set-up-machines")
    assert "21 machines" in answer(client.get(url))
    assert "1 found for “zz-9”" in answer(client.get(url, {"q": "zz-9"}))
    for thing in THINGS:
        with django_assert_max_num_queries(12):
            client.get(reverse(f"set-up-{thing.key}"))


def test_a_class_names_those_that_go_instead(client, manager):
    small, large = factories.MachineClass(name="Small quad"), factories.MachineClass(name="Quad")
    data = {"name": "Small quad", "day_rate": "40", "runs_on": small.runs_on}
    data |= rows("walk_round_points") | rows("accessories")
    send(client, "classes", data | rows("substitutes", {"instead": large.pk}, {}), small.pk)
    assert [one.instead for one in small.substitutes.all()] == [large]
    assert not large.substitutes.exists()
    page = send(client, "classes", data | rows("substitutes", {"instead": small.pk}), small.pk)
    assert "A class is no substitute for itself." in words(page)


@pytest.mark.parametrize(("typed", "minutes"), [("45", 45), ("", 0)])
def test_a_class_says_how_long_until_the_next_customer(client, manager, typed, minutes):
    quad = factories.MachineClass(name="Quad", turn_round_minutes=10)
    data = {"name": "Quad", "day_rate": "40", "runs_on": quad.runs_on, "turn_round_minutes": typed}
    data |= rows("walk_round_points") | rows("accessories") | rows("substitutes")
    send(client, "classes", data, quad.pk)
    quad.refresh_from_db()
    assert quad.turn_round_minutes == minutes
