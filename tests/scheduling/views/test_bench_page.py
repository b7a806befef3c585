"""The bench page and its paper: own list for a mechanic, every list for the manager."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from fleet.models import FittingPart, OrderLine, Role, StockMovement
from scheduling.models import PlanSearch
from tests import factories
from tests.factories import NOON, TODAY
from tests.pages import words
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db
PAGES = ["bench", "bench-paper"]


@pytest.mark.parametrize("page", PAGES)
def test_the_mechanic_sees_the_days_jobs_with_cautions_and_the_manual_first(client, page):
    case = bench_case()
    client.force_login(case.mechanic)
    text = client.get(reverse(page), {"day": TODAY.isoformat()}).content.decode()
    for said in (
        "Q-1",
        "Engine oil and filter",
        "Hot oil burns.",
        "19 mm socket",
        "own manual, local codes and licensed practice",
    ):
        assert said in text


def test_an_empty_day_leads_to_the_next_with_jobs(client):
    case = bench_case()
    client.force_login(case.mechanic)
    text = client.get(reverse("bench"), {"day": "2026-02-28"}).content.decode()
    assert "Nothing is planned for" in text
    assert f"?day={TODAY}&amp;mechanic={case.mechanic.username}" in text
    after = client.get(reverse("bench"), {"day": "2026-03-03"}).content.decode()
    assert "The next jobs" not in after


def test_a_day_off_opens_on_the_next_list_and_says_so(client, monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    case = bench_case(day=TODAY + timedelta(days=2))
    client.force_login(case.mechanic)
    text = client.get(reverse("bench")).text
    answer = text.split('class="answer"')[1].split("</p>")[0]
    assert "Nothing is planned for today" in answer
    assert "this is the next list" in answer
    assert "Q-1 first" in answer


def test_a_day_off_on_which_something_was_done_opens_on_the_next_list_and_leads_to_it(
    client, monkeypatch
):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    case = bench_case(day=TODAY + timedelta(days=2))
    factories.ServiceRecord(machine=case.machine, done_by=case.mechanic, done_at=NOON)
    client.force_login(case.mechanic)
    page = client.get(reverse("bench")).text
    assert "this is the next list" in page
    assert "1 entry of today in the book" in page
    today = client.get(reverse("bench"), {"day": TODAY.isoformat()}).text
    assert "1 entry of today" not in today
    assert f"?day={TODAY}&amp;mechanic={case.mechanic.username}" in page


@pytest.mark.parametrize("said", ["Q-1", "q-1", "SER-9"])
def test_a_tag_or_a_serial_opens_the_sheet_in_one_press(client, said):
    case = bench_case()
    case.machine.serial = "ser-9"
    case.machine.save()
    client.force_login(case.mechanic)
    assert client.get(reverse("find-sheet"), {"tag": said}).url == reverse("job", args=["Q-1"])
    page = client.get(reverse("find-sheet"), {"tag": "Z-9"}, follow=True)
    assert "No machine of your shop has the tag or serial number “Z-9”" in page.text


def test_the_paper_says_the_steps_with_the_numbers_of_the_make_up(client):
    case = bench_case()
    case.service.steps.create(
        position=2, kind="fill", place="engine oil", text="Fill {quantity}", key="fill"
    )
    client.force_login(case.mechanic)
    case.service.steps.filter(key="fill").update(caution=case.service.cautions.get())
    text = client.get(reverse("bench-paper"), {"day": TODAY.isoformat()}).text
    assert "<strong>WARNING</strong> Hot oil burns. Fill 2.11 qt" in text


def test_the_machines_page_leads_to_its_sheet_in_one_press(client):
    case = bench_case()
    client.force_login(case.mechanic)
    assert (
        f'href="{reverse("job", args=["Q-1"])}"' in client.get(case.machine.get_absolute_url()).text
    )


def test_paper_names_the_limits_of_this_make_up_alone(client):
    case = bench_case()
    case.service.limits.create(name="Torque", unit="N m", low=40, makeup=factories.MakeUp())
    client.force_login(case.mechanic)
    text = client.get(reverse("bench-paper"), {"day": TODAY.isoformat()}).content.decode()
    assert "Oil pressure, at least 200 kPa" in text
    assert "Torque" not in text


@pytest.mark.parametrize("page", PAGES)
def test_the_desk_has_no_bench(client, page):
    client.force_login(factories.Person(role=Role.DESK))
    assert client.get(reverse(page)).status_code == 403


@pytest.mark.parametrize("page", PAGES)
def test_signed_out_means_sign_in_first(client, page):
    assert client.get(reverse(page)).url.startswith(reverse("sign-in"))


def test_a_mechanic_cannot_open_anothers_list(client):
    case = bench_case()
    other = factories.Mechanic(shop=case.mechanic.shop)
    client.force_login(other)
    address = {"day": TODAY.isoformat(), "mechanic": case.mechanic.username}
    assert "Q-1" not in client.get(reverse("bench"), address).content.decode()


def test_the_manager_chooses_a_mechanic(client):
    case = bench_case()
    client.force_login(case.manager)
    address = {"day": TODAY.isoformat(), "mechanic": case.mechanic.username}
    assert "Q-1" in client.get(reverse("bench"), address).content.decode()


def test_a_day_that_is_none_gets_a_sentence(client):
    client.force_login(bench_case().mechanic)
    text = client.get(reverse("bench"), {"day": "soon"}).content.decode()
    assert "“soon” is not a day" in text


def test_a_shop_without_a_mechanic_says_so(client):
    client.force_login(factories.Person())
    assert "No mechanic is set up yet" in client.get(reverse("bench")).content.decode()


@pytest.mark.parametrize("page", PAGES)
def test_a_mechanic_may_open_the_list_of_a_hand_who_cannot_sign_in(client, page):
    case = bench_case()
    lent = factories.LentHand(shop=case.mechanic.shop, name="Runa Lund")
    case.job.mechanic = lent.person
    case.job.save()
    client.force_login(case.mechanic)
    asked = {"day": TODAY.isoformat(), "mechanic": lent.person.username}
    text = client.get(reverse(page), asked).content.decode()
    assert "Runa Lund" in text
    assert "Q-1" in text


@pytest.mark.parametrize("page", PAGES)
def test_who_helps_and_who_is_helped_read_of_each_other(client, page):
    case = bench_case()
    helper = factories.Mechanic(shop=case.mechanic.shop, first_name="Bo")
    case.service.second_minutes, case.service.second_for = 30, "hold the load"
    case.service.save()
    case.job.second, case.job.second_minutes = helper, 30
    case.job.save()
    for person, said in [
        (case.mechanic, "<strong>With Bo</strong>, 30 min: hold the load"),
        (helper, "With Jo: <strong>hold the load</strong>"),
    ]:
        client.force_login(person)
        assert said in client.get(reverse(page), {"day": TODAY.isoformat()}).content.decode()


@pytest.mark.parametrize("page", PAGES)
def test_a_long_job_says_how_much_of_it_is_for_the_day(client, page):
    case = bench_case()
    case.job.last_day, case.job.minutes = date(2026, 3, 3), 600
    case.job.by_day = {"2026-03-02": 480, "2026-03-03": 120}
    case.job.save()
    case.work.begun = True
    case.work.save()
    client.force_login(case.mechanic)
    text = client.get(reverse(page), {"day": "2026-03-03"}).content.decode()
    assert "2 h of 10 h this day, until" in text
    assert "under way" in text


def lie(case, part, quantity):
    StockMovement.objects.create(
        part=part, shop=case.mechanic.shop, quantity=quantity, reason="received", at=NOON
    )


def test_what_is_not_on_the_shelf_is_counted_ordered_and_planned_around(client, monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    case = bench_case()
    client.force_login(case.mechanic)
    fit = case.machine.makeup.fitting_parts.get()
    other = factories.Part(number="OF-2", name="long filter")
    fit.instead = other
    fit.save()
    lie(case, fit.part, 3)
    lie(case, other, 1)
    address = f"{reverse('pull-missing')}?day={TODAY}"
    for _ in range(2):
        page = client.post(address, {"part": fit.part.pk, "found": ""}, follow=True)
    assert "Pull 1 OF-2 long filter in its place; the make-up says that it fits." in page.text
    line = OrderLine.objects.get()
    assert (line.quantity, line.need_by) == (1, TODAY)
    assert [str(job) for job in line.jobs.all()] == [f"Q-1: Engine oil and filter, {TODAY}"]
    counted = StockMovement.objects.get(part=fit.part, reason="count")
    assert (counted.counted, counted.by) == (0, case.mechanic)
    assert PlanSearch.objects.filter(shop=case.mechanic.shop).exists()


def test_the_pull_list_says_what_is_pulled_in_place_of_what_lacks(client, monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    case = bench_case()
    client.force_login(case.mechanic)
    other = factories.Part(number="OF-2", name="long filter")
    case.machine.makeup.fitting_parts.update(instead=other)
    lie(case, other, 1)
    said = [words(client.get(reverse(page))) for page in ("bench", "bench-paper")]
    for one in said:
        assert (
            f"Pull 1 OF-2 long filter in its place, from the shelf of {case.job.plan.shop}" in one
        )
    assert "The shelf is short of 1 thing" in said[0]  # the oil


def test_a_substitute_that_is_not_there_either_is_counted_and_not_ordered(client, monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    case = bench_case()
    client.force_login(case.mechanic)
    other = factories.Part(number="OF-2", name="long filter")
    case.machine.makeup.fitting_parts.update(instead=other)
    lie(case, other, 1)
    assert f'name="part" value="{other.pk}"' in client.get(reverse("bench")).text
    for _ in range(2):  # pressed again, it is no longer on the list
        page = client.post(
            f"{reverse('pull-missing')}?day={TODAY}", {"part": other.pk}, follow=True
        )
    assert "That part is no longer on this day&#x27;s pull list." in page.text
    assert StockMovement.objects.get(part=other, reason="count").counted == 0
    assert not OrderLine.objects.exists()
    assert PlanSearch.objects.filter(shop=case.mechanic.shop).exists()
    assert "in its place" not in words(client.get(reverse("bench")))


def test_what_does_on_another_make_up_alone_is_not_named(client, monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    case = bench_case()
    client.force_login(case.mechanic)
    fit = case.machine.makeup.fitting_parts.get()
    other = factories.Part(number="OF-2", name="long filter")
    lie(case, other, 5)
    FittingPart.objects.create(
        makeup=factories.MakeUp(), place="oil filter", part=fit.part, instead=other
    )
    page = client.post(
        f"{reverse('pull-missing')}?day={TODAY}", {"part": fit.part.pk, "found": ""}, follow=True
    )
    assert "none on the shelf" in page.text
    assert "OF-2" not in page.text


def test_need_and_shelf_of_a_fluid_stand_in_one_unit_with_whole_containers(client):
    case = bench_case()
    oil = case.machine.makeup.fluids.get().part
    oil.container_ml = 946.352946
    oil.save()
    lie(case, oil, 40_000)
    client.force_login(case.mechanic)
    text = client.get(reverse("bench"), {"day": TODAY.isoformat()}).text
    assert "3 containers of 1.0 qt" in text  # 2.1 qt are needed
    assert "42.3 qt" in text  # not 10.6 gal


def test_a_job_over_two_days_is_fetched_for_once(client):
    case = bench_case()
    case.job.last_day, case.job.minutes = date(2026, 3, 3), 600
    case.job.by_day = {"2026-03-02": 480, "2026-03-03": 120}
    case.job.save()
    client.force_login(case.mechanic)
    assert "oil 10W-30" in client.get(reverse("bench"), {"day": "2026-03-02"}).text
    later = client.get(reverse("bench"), {"day": "2026-03-03"}).text
    assert "oil 10W-30" not in later
    assert "19 mm socket" in later  # its tools are brought all the same
