"""The order list: what to buy, by when, for which jobs; ordered, received, taken back."""

import re
from csv import DictReader
from datetime import date, timedelta
from io import BytesIO, StringIO

import pytest
from django.conf import settings
from django.db.models import Sum
from django.urls import reverse
from openpyxl import load_workbook

from fleet.models import (
    Delivery,
    FittingPart,
    Fluid,
    LoggedChange,
    OrderedFor,
    OrderLine,
    Role,
    ServiceNeed,
    StockMovement,
)
from fleet.queries.parts_of_shop import deliveries_to_come
from tests import consequences, factories
from tests.factories import NOON, TODAY
from tests.pages import words

QUERIES = 14
"""Of the page with a state chosen."""

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(client, monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    shop = factories.Shop()
    manager = factories.Person(shop=shop)
    client.force_login(manager)
    part = factories.Part(number="OF-1", name="oil filter", lead_days=4)
    return OrderLine.objects.create(
        part=part, shop=shop, quantity=2, need_by=TODAY + timedelta(days=10),
        for_work="Q-1: Engine oil", asked_at=NOON, asked_by=manager,
    )  # fmt: skip


def step(client, line, name, **typed):
    client.post(reverse(f"order-{name}", args=[line.pk]), typed)
    line.refresh_from_db()
    return line.state


def on_shelf():
    return StockMovement.objects.aggregate(Sum("quantity"))["quantity__sum"]


def test_the_page_says_how_many_and_by_which_day_the_first(client, line):
    text = client.get(reverse("order-list")).text
    assert "1 part to order; the first by" in text
    assert line.order_by == TODAY + timedelta(days=6)  # needed in ten days, four on the way
    assert "For Q-1: Engine oil" in text


def test_the_one_part_that_comes_too_late_is_not_one_of_them(client, line):
    line.need_by = TODAY + timedelta(days=1)
    line.save()
    said = client.get(reverse("order-list")).text
    assert "1 part to order, too late to be there in time." in said


def test_its_choices_are_folded_until_one_is_made(client, line):
    page = reverse("order-list")
    assert '<details class="fold narrow"><summary>Narrow down' in client.get(page).text
    chosen = client.get(page, {"state": "to order"}).text
    assert '<details class="fold narrow" open><summary>Narrow down' in chosen


def test_ordered_and_received_move_deliveries_and_the_shelf_and_each_is_taken_back(client, line):
    expected = (TODAY + timedelta(days=5)).isoformat()
    assert step(client, line, "ordered", expected_on=expected) == "ordered"
    assert deliveries_to_come(line.shop).get().quantity == 2
    for _ in range(2):  # pressed twice it lies there once
        assert step(client, line, "received") == "received"
    assert on_shelf() == 2
    assert not deliveries_to_come(line.shop)
    assert step(client, line, "back") == "ordered"
    assert on_shelf() == 0
    assert deliveries_to_come(line.shop).count() == 1
    assert step(client, line, "back") == "to order"
    assert not deliveries_to_come(line.shop)
    assert Delivery.objects.count() == 1  # it stays on record
    assert [c.act for c in LoggedChange.objects.filter(kind="order line").order_by("pk")] == [
        "ordered", "received", "taken back", "taken back",
    ]  # fmt: skip


def test_what_is_not_wanted_leaves_the_list_and_may_come_back(client, line):
    assert step(client, line, "drop") == "dropped"
    assert "Nothing has to be ordered" in client.get(reverse("order-list")).text
    assert step(client, line, "back") == "to order"


@pytest.mark.parametrize("day", ["", "soon", "2020-01-01"])
def test_a_day_that_cannot_be_is_refused(client, line, day):
    assert step(client, line, "ordered", expected_on=day) == "to order"


def test_the_file_has_a_row_a_line_and_no_formula(client, line):
    line.for_work = "=cmd()"
    line.save()
    answer = client.get(reverse("order-file"))
    assert 'filename="order-list.csv"' in answer.headers["Content-Disposition"]
    assert answer.content.startswith("\ufeff".encode())  # a spreadsheet reads it as UTF-8
    rows = answer.text.splitlines()
    assert rows[1].startswith("OF-1,oil filter,2,2026-03-12,2026-03-08,to order,")
    assert rows[1].endswith(",'=cmd(),,")


def test_the_same_as_a_workbook_whose_text_is_text(client, line):
    line.for_work = "=cmd()"
    line.save()
    sheet = load_workbook(BytesIO(client.get(reverse("order-file"), {"as": "xlsx"}).content)).active
    _, row = sheet.iter_rows()
    assert [row[n].value for n in (0, 1, 5, 9)] == ["OF-1", "oil filter", "to order", "=cmd()"]
    assert row[3].value.date() == date(2026, 3, 12)
    assert row[9].data_type == "s"
    assert "as=xlsx" in client.get(reverse("order-list")).text


@pytest.fixture
def belt(line):
    """A second line, ordered already, whose part fits nothing."""
    return OrderLine.objects.create(
        part=factories.Part(number="BE-1", name="belt"), shop=line.shop, quantity=1, need_by=TODAY,
        asked_at=NOON, asked_by=line.asked_by, ordered_at=NOON,
    )  # fmt: skip


@pytest.fixture
def quad(line):
    """A machine that the oil filter fits."""
    quad = factories.Machine(yard__shop=line.shop, yard__name="North")
    FittingPart.objects.create(makeup=quad.makeup, place="oil filter", part=line.part)
    return quad


def listed(client, **asked):
    """Return the part numbers on the page and in its two files, which are the same."""
    page = client.get(reverse("order-list"), asked)
    found = [row["line"].part.number for row in page.context["rows"]]
    text = client.get(reverse("order-file"), asked).text.splitlines()[1:]
    assert [row.split(",")[0] for row in text] == found
    book = client.get(reverse("order-file"), asked | {"as": "xlsx"}).content
    _, *rows = load_workbook(BytesIO(book)).active.iter_rows(values_only=True)
    assert [row[0] for row in rows] == found
    return found


def test_it_is_narrowed_down_by_state_class_and_yard_and_so_are_its_files(client, line, belt, quad):
    other = factories.Machine(yard__shop=line.shop, yard__name="South")
    assert listed(client) == ["OF-1", "BE-1"]
    assert listed(client, state="ordered") == ["BE-1"]
    assert listed(client, state="received") == []
    assert listed(client, machine_class=quad.makeup.machine_class_id) == ["OF-1"]
    assert listed(client, machine_class=other.makeup.machine_class_id) == []
    assert listed(client, yard=quad.yard_id) == ["OF-1"]
    assert listed(client, yard=quad.yard_id, state="ordered") == []
    assert listed(client, yard=other.yard_id) == []


def test_a_fluid_and_what_does_in_place_of_a_part_fit_too(client, line, belt, quad):
    Fluid.objects.create(makeup=quad.makeup, place="coolant", capacity_ml=900, part=belt.part)
    assert listed(client, yard=quad.yard_id) == ["OF-1", "BE-1"]
    Fluid.objects.all().delete()
    quad.makeup.fitting_parts.update(instead=belt.part)
    assert listed(client, yard=quad.yard_id) == ["OF-1", "BE-1"]


def wants(line, machine, service, day=TODAY, **more):
    return OrderedFor.objects.create(line=line, machine=machine, service=service, day=day, **more)


def test_a_line_that_names_its_jobs_goes_by_them_and_not_by_what_its_part_fits(
    client, line, belt, quad
):
    """The filter fits both machines; it was asked for for the one in the south alone."""
    south = factories.Machine(yard__shop=line.shop, yard__name="South", makeup=quad.makeup)
    oil, grease = factories.Service(name="Oil"), factories.Service(name="Grease")
    ServiceNeed.objects.create(service=grease, place="oil filter")
    wants(line, south, oil)
    assert listed(client, yard=south.yard_id) == ["OF-1"]
    assert listed(client, yard=quad.yard_id) == []
    assert listed(client, service=oil.pk, machine_class=quad.makeup.machine_class_id) == ["OF-1"]
    assert listed(client, service=grease.pk) == []


def test_one_job_has_to_be_all_that_is_chosen(client, line, quad):
    other = factories.Machine(yard__shop=line.shop, yard__name="South")
    oil, grease = factories.Service(name="Oil"), factories.Service(name="Grease")
    wants(line, quad, oil)
    wants(line, other, grease)
    assert listed(client, yard=quad.yard_id, service=oil.pk) == ["OF-1"]
    assert listed(client, yard=quad.yard_id, service=grease.pk) == []


def test_each_job_is_named_and_leads_to_its_machine_and_to_its_shop_day_of_now(client, line, quad):
    oil, grease = factories.Service(name="Oil"), factories.Service(name="Grease")
    wants(line, quad, oil, TODAY + timedelta(days=1))
    wants(line, quad, grease, TODAY + timedelta(days=60), planned=False)
    moved = TODAY + timedelta(days=4)
    job = consequences.PlannedJob(plan__shop=line.shop, machine=quad, day=moved)
    for service in (oil, grease):
        consequences.PlannedWork(job=job, machine=quad, service=service)
    page = client.get(reverse("order-list"))
    assert f'href="{quad.get_absolute_url()}"' in page.text
    assert f"?day={moved}&amp;shop=" in page.text
    assert f"{quad.tag} Oil, Fri 6 Mar" in words(page)
    assert f"{quad.tag} Grease, about Fri 1 May" in words(page)  # a later time, not the planned one
    (row,) = DictReader(StringIO(client.get(reverse("order-file")).content.decode("utf-8-sig")))
    assert (
        row["for"]
        == f"Q-1: Engine oil; {quad.tag}: Oil, 2026-03-06; {quad.tag}: Grease, 2026-05-01"
    )
    assert row["machine pages"] == settings.BASE_URL + quad.get_absolute_url()


def test_of_many_jobs_the_first_three_are_seen_and_the_others_folded(client, line, quad):
    for day in range(5):
        wants(line, quad, factories.Service(), TODAY + timedelta(days=day))
    assert "2 more jobs" in words(client.get(reverse("order-list")))


def covered_job(line, quad):
    """Plan work that takes the line's part and has a substitute for it on the shelf."""
    other = factories.Part(number="OF-2", name="long filter")
    quad.makeup.fitting_parts.update(instead=other)
    StockMovement.objects.create(part=other, shop=line.shop, quantity=1, reason="count", at=NOON)
    service = factories.Service()
    ServiceNeed.objects.create(service=service, place="oil filter")
    job = consequences.PlannedJob(plan__shop=line.shop, machine=quad, day=TODAY)
    return consequences.PlannedWork(job=job, machine=quad, service=service)


def test_a_line_says_that_a_substitute_covers_it_until_it_is_received(client, line, quad):
    covered_job(line, quad)
    said = "A substitute covers 1 of these: OF-2 long filter, from the shelf, "
    said += f"for {quad.tag}, Mon 2 Mar. These jobs do not wait for it."
    assert said in words(client.get(reverse("order-list")))
    (row,) = DictReader(StringIO(client.get(reverse("order-file")).content.decode("utf-8-sig")))
    assert row["covered by"] == f"1 by OF-2 long filter: {quad.tag} 2026-03-02"
    step(client, line, "ordered", expected_on=(TODAY + timedelta(days=5)).isoformat())
    assert said in words(client.get(reverse("order-list")))
    step(client, line, "received")
    assert "A substitute covers" not in words(client.get(reverse("order-list")))


def test_a_line_is_needed_from_the_first_job_that_takes_no_substitute(client, line, quad):
    """It was to be there today, for a job that takes the long filter by now."""
    work = covered_job(line, quad)
    line.need_by = TODAY
    line.save()
    wants(line, quad, work.service)
    page = words(client.get(reverse("order-list")))
    assert "1 part to order; no job waits for it." in page
    assert "No job waits for it." in page
    assert "should have been ordered" not in page
    other = factories.Machine(yard__shop=line.shop)
    wants(line, other, work.service, TODAY + timedelta(days=20), planned=False)
    page = words(client.get(reverse("order-list")))
    assert "1 part to order; the first by Wed 18 Mar" in page  # four days on the way
    assert "Needed by Sun 22 Mar" in page
    assert "No job waits for it." not in page


def test_what_no_job_waits_for_is_ordered_last(client, line, quad):
    work = covered_job(line, quad)
    wants(line, quad, work.service)
    line.need_by = TODAY
    line.save()
    other = OrderLine.objects.create(
        part=factories.Part(number="BE-2"), shop=line.shop, quantity=1, asked_at=NOON,
        need_by=TODAY + timedelta(days=60), asked_by=line.asked_by,
    )  # fmt: skip
    assert listed(client) == [other.part.number, "OF-1"]


@pytest.mark.parametrize("number", [2, 12])
def test_the_number_of_queries_does_not_grow(client, line, quad, number, django_assert_num_queries):
    for day in range(number):
        more = OrderLine.objects.create(
            part=factories.Part(), shop=line.shop, quantity=1, need_by=TODAY, asked_at=NOON,
            asked_by=line.asked_by,
        )  # fmt: skip
        machine = factories.Machine(yard__shop=line.shop)
        wants(more, machine, factories.Service(), TODAY + timedelta(days=day))
        wants(line, machine, factories.Service(), TODAY + timedelta(days=day))
    with django_assert_num_queries(QUERIES):
        client.get(reverse("order-list"), {"state": "to order"})


def test_by_service_its_places_count_and_those_of_the_class_alone_where_both_are_chosen(
    client, line, belt, quad
):
    oil, belts = factories.Service(name="Oil"), factories.Service(name="Belts")
    ServiceNeed.objects.create(service=oil, place="oil filter")
    ServiceNeed.objects.create(service=belts, place="drive belt")
    other = factories.Machine(yard__shop=line.shop)
    FittingPart.objects.create(makeup=other.makeup, place="drive belt", part=belt.part)
    assert listed(client, service=oil.pk) == ["OF-1"]
    assert listed(client, service=belts.pk) == ["BE-1"]
    assert listed(client, service=belts.pk, machine_class=quad.makeup.machine_class_id) == []
    page = words(client.get(reverse("order-list"), {"service": oil.pk}))
    assert "for what its part fits" in page


def test_the_sentence_stays_that_of_the_whole_list(client, line, belt):
    page = words(client.get(reverse("order-list"), {"state": "ordered"}))
    assert "1 part to order; the first by" in page
    assert "1 of 2 lines shown; the sentence above is of all." in page


def test_a_press_comes_back_to_what_was_chosen(client, line, belt):
    page = client.get(reverse("order-list"), {"state": "to order"})
    press = reverse("order-drop", args=[line.pk])
    (action,) = re.findall(rf'action="({press}[^"]*)"', page.text)
    answer = client.post(action.replace("&amp;", "&"))
    assert "state=to+order" in answer.headers["Location"]


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"yard": "x"}, "This yard is not of the shop that is shown; choose one from the list."),
        ({"machine_class": "99999"}, "There is no such class; choose one from the list."),
        ({"service": "0"}, "There is no such service; choose one from the list."),
        ({"state": "lost"}, "There is no such state; choose one from the list."),
    ],
)
def test_a_choice_that_is_not_there_is_said_and_does_not_narrow(client, line, belt, asked, said):
    assert said in client.get(reverse("order-list"), asked).text
    assert listed(client, **asked) == ["OF-1", "BE-1"]


def test_another_shops_yard_is_no_choice(client, line):
    other = factories.Yard(shop=factories.Shop(name="elsewhere"))
    assert (
        "This yard is not of the shop" in client.get(reverse("order-list"), {"yard": other.pk}).text
    )


def test_what_is_still_to_order_never_falls_off_a_long_list(client, line, belt, monkeypatch):
    """The quickest to buy is the first that went where the days wanted alone decided."""
    monkeypatch.setattr("fleet.queries.order_list.SHOWN", 1)
    belt.received_at, belt.need_by = NOON, TODAY + timedelta(days=50)
    belt.save()
    assert listed(client) == ["OF-1"]


def test_a_mechanic_looks_and_does_not_order_and_the_desk_does_neither(client, line):
    client.force_login(factories.Mechanic(shop=line.shop))
    text = client.get(reverse("order-list")).text
    assert "oil filter" in text
    assert "Received" not in text
    assert client.post(reverse("order-drop", args=[line.pk])).status_code == 403
    client.force_login(factories.Person(shop=factories.Shop(name="elsewhere")))
    assert client.post(reverse("order-ordered", args=[line.pk])).status_code == 404
    client.force_login(factories.Person(role=Role.DESK, shop=line.shop))
    assert client.get(reverse("order-list")).status_code == 403


def test_each_line_says_what_it_costs_and_the_page_what_all_to_order_does(client, line):
    line.part.cost = 12
    line.part.save()
    oil = factories.Part(name="oil", kind="fluid", cost=6)
    free = factories.Part(name="washer", cost=0)
    for part, quantity in ((oil, 2500), (free, 1)):
        OrderLine.objects.create(
            part=part, shop=line.shop, quantity=quantity, need_by=TODAY, asked_at=NOON,
            asked_by=line.asked_by,
        )  # fmt: skip
    page = words(client.get(reverse("order-list")))
    assert "$12.00 each, $24.00 in all" in page
    assert "$6.00 a litre, $15.00 in all" in page
    assert "No price is set up." in page
    assert "What is to order costs $39.00, without 1 part that has no price." in page
    rows = {row["part"]: row for row in table_of(client)}
    assert (rows["oil"]["price each"], rows["oil"]["price"]) == ("6.0", "15.0")
    step(client, line, "ordered", expected_on=(TODAY + timedelta(days=4)).isoformat())
    page = words(client.get(reverse("order-list")))
    assert "What is to order costs $15.00" in page
    assert "$12.00 each, $24.00 in all" in page  # where it is marked received


def table_of(client):
    text = client.get(reverse("order-file")).content.decode("utf-8-sig")
    return list(DictReader(StringIO(text)))
