"""Shop days at a glance: loads, cost, pins that are kept or not, what waits.  Today is 2 March."""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.models import Pin
from scheduling.models import Plan, PlannedJob, PlannedWork
from tests import factories
from tests.complete_shop import nothing_missing
from tests.factories import NOON, TODAY, key_of
from tests.pages import answer, at_noon, sign_in, words  # noqa: F401  at_noon is a fixture
from tests.scheduling.bench_data import bench_case

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]


@pytest.fixture
def case():
    return bench_case()


@pytest.fixture
def page(client, case):
    def show(role="manager"):
        sign_in(client, role, case.mechanic.shop)
        return client.get(reverse("shop-days"))

    return show


@pytest.fixture
def opened(client, page, case):
    """What the line of the job opens into."""

    def show(role="manager", **asked):
        page(role)
        address = reverse("shop-day-job", args=[case.job.pk])
        return client.get(address, asked, headers={"HX-Request": "true"})

    return show


def pin(case, days=0, mechanic=None):
    day = TODAY + timedelta(days=days)
    return Pin.objects.create(
        machine=case.machine, work_key=key_of("Q-1", "oil"), day=day, mechanic=mechanic,
        by=case.manager, at=NOON,
    )  # fmt: skip


def test_grid_says_hours_used_of_hours_there_in_a_table(page):
    text = words(page())
    assert "Jobs, and hours used out of hours available, by mechanic and day" in text
    assert "Mon 2 1.5/8 h Tue 3 0/8 h Wed 4 0/8 h Thu 5 0/8 h Fri 6 0/8 h Sat 7 closed" in text
    assert "Jo 1.5/40 h 1.5/8 h" in text
    assert "0/8 h 0/8 h 0/8 h 0/8 h off off" in text
    assert "no skill asked 1.5/8 h" in text


def test_a_job_is_one_line_that_opens_where_it_stands(page, opened):
    shown = page().content.decode()
    assert words(page()).count("Q-1") == 1
    assert "Engine oil and filter" in shown
    assert "the first day with room" not in shown
    part = opened()
    assert "the first day with room" in words(part)
    assert "<html" not in part.content.decode()


@pytest.mark.parametrize(
    ("page_at", "back"),
    [("http://a/?day=2026-03-03#grid", "?day=2026-03-03"), ("http://[?view=day", "?view=day"),
     ("http://[", "")],
)  # fmt: skip
def test_a_line_leads_back_to_its_page_however_that_is_said(client, page, case, page_at, back):
    page()
    said = {"HX-Request": "true", "HX-Current-URL": page_at}
    part = client.get(reverse("shop-day-job", args=[case.job.pk]), headers=said)
    assert (part.status_code, part.context["back"]) == (200, back)


def test_without_a_script_a_job_has_a_page_of_its_own(client, page, case):
    page()
    response = client.get(reverse("shop-day-job", args=[case.job.pk]))
    assert answer(response) == "1 piece of work with Jo, 1 h 30 min."
    assert f"{reverse('move-work')}?day={TODAY}" in response.content.decode()


def test_a_job_of_elsewhere_or_gone_is_not_there(client, page, case):
    page()
    sign_in(client, "manager", factories.Shop())
    assert client.get(reverse("shop-day-job", args=[case.job.pk])).status_code == 404
    assert client.get(reverse("shop-day-job", args=[987654])).status_code == 404
    sign_in(client, "desk", case.mechanic.shop)
    assert client.get(reverse("shop-day-job", args=[case.job.pk])).status_code == 403


@pytest.mark.parametrize(
    ("query", "shows"),
    [
        ("mechanic={mechanic}", True),
        ("mechanic={other}", False),
        ("machine_class={machine_class}", True),
        ("machine_class={other_class}", False),
        ("yard={yard}", True),
        ("yard={other_yard}", False),
        ("skill=hydraulic", False),
        ("skill=nonsense", True),
        ("yard=nonsense", True),
    ],
)
def test_jobs_are_narrowed_down_by_the_address_and_the_loads_stay_whole(
    client, page, case, query, shows
):
    page()
    other = factories.Mechanic(shop=case.mechanic.shop, first_name="Bo")
    factories.Skill(name="hydraulic")
    given = {
        "mechanic": case.mechanic.username,
        "other": other.username,
        "machine_class": case.machine.makeup.machine_class_id,
        "other_class": factories.MachineClass().pk,
        "yard": case.machine.yard_id,
        "other_yard": factories.Yard(shop=case.mechanic.shop).pk,
    }
    shown = client.get(f"{reverse('shop-days')}?{query.format(**given)}")
    assert ("Engine oil and filter" in words(shown)) is shows
    assert "Mon 2 1.5/16 h" in words(shown)


def test_the_month_and_what_is_left_out_are_lists(client, page, case):
    page()
    month = words(client.get(reverse("shop-days"), {"view": "month"}))
    assert "Mon 2 Mar, today" in month
    assert "Q-1 Jo, 1 h 30 min: Engine oil and filter" in month
    beyond = client.get(reverse("shop-days"), {"view": "beyond"})
    assert answer(beyond) == "0 pieces of work left out of this plan."
    assert "Everything has a day." in words(beyond)


def test_a_plan_without_a_bound_says_so_instead_of_nought(page, case):
    nothing_missing(case.mechanic.shop)
    Plan.objects.update(cost={"overdue": 120.0}, total=120, bound=0, gap=1)
    text = words(page())
    assert "$120.00 in all. How much a better plan could save is not known yet." in text
    assert "No plan can cost less" not in text


def test_plan_says_what_it_costs_and_what_is_scarce(page, case):
    nothing_missing(case.mechanic.shop)
    Plan.objects.update(
        cost={"overdue": 120.0, "visit": 32.0, "change": 0.0}, total=152, bound=140, gap=0.079,
        cost_words={"overdue": "2 pieces of work stand late"},
        weeks=["Week of Mon 2 Mar: hydraulic; one more hour would save $38 at most."],
    )  # fmt: skip
    text = words(page())
    assert "$152.00 in all. No plan can cost less than $140.00" in text
    assert "at most $12.00 could still be saved (8 %)" in text
    assert "Late work 2 pieces of work stand late $120.00 Visits $32.00" in text
    assert "Changes of the plan" not in text
    assert "one more hour would save $38 at most" in text


def test_pin_that_is_kept_says_pinned_and_can_be_lifted(page, opened, case):
    pin(case, mechanic=case.mechanic)
    assert "Q-1 1.5 h pinned" in words(page())
    text = words(opened())
    assert "Engine oil and filter pinned" in text
    assert "Remove the pin" in text


def test_pin_that_cannot_be_kept_says_so_and_why(page, opened, case):
    pin(case, days=2)
    PlannedWork.objects.update(
        pinned=True, unkept="pin on Wed 4 Mar cannot be kept; Wed 4 Mar: nobody works."
    )
    assert "Q-1 1.5 h pin not kept" in words(page())
    text = words(opened())
    assert "Engine oil and filter pin not kept" in text
    assert "Pinned to Wed 4 Mar, but it is not there." in text
    assert "Pin on Wed 4 Mar cannot be kept; Wed 4 Mar: nobody works." in text
    assert "pinned 1 h" not in text


def test_what_waits_says_why_and_what_would_have_to_give(client, page, case):
    PlannedWork.objects.update(
        job=None, why="No place is free for it.", gives=["With 1 h more of Jo on Wed 4 Mar."]
    )
    assert "Left out (1)" in words(page())
    text = words(client.get(reverse("shop-days"), {"view": "beyond"}))
    assert "Left out of this plan: 1 piece of work" in text
    assert "No place is free for it." in text
    assert "What would have to give: With 1 h more of Jo on Wed 4 Mar." in text


def test_buttons_step_a_job_without_any_script(page, client, case):
    page()
    client.post(reverse("move-work"), {"work_key": key_of("Q-1", "oil"), "step": "1"})
    assert Pin.objects.get().day == TODAY + timedelta(days=1)


def test_mechanic_reads_the_grid_and_has_nothing_to_drag(page):
    shown = page("mechanic").content.decode()
    assert "load-bar" in shown
    assert "data-drop" not in shown
    assert "data-job" not in shown
    assert "shop_days.js" not in shown


def test_days_gone_by_and_people_of_elsewhere_take_no_work(page, client, case):
    guest = factories.Mechanic(first_name="Gast")
    PlannedJob.objects.create(
        plan=case.job.plan, machine=factories.Machine(yard__shop=case.mechanic.shop), day=TODAY,
        mechanic=guest, minutes=30,
    )  # fmt: skip
    shown = page().content.decode()
    assert f'data-mechanic="{case.mechanic.username}"' in shown
    assert f'data-mechanic="{guest.username}"' not in shown
    earlier = client.get(reverse("shop-days"), {"day": "2026-02-20"}).content.decode()
    assert 'data-day="2026-02-2' not in earlier


def test_job_over_two_days_and_second_person_are_said(page, opened, case):
    last = TODAY + timedelta(days=1)
    helper = factories.Mechanic(shop=case.mechanic.shop, first_name="Bo")
    PlannedJob.objects.update(
        last_day=last, by_day={TODAY.isoformat(): 60, last.isoformat(): 30}, second=helper,
        second_minutes=45,
    )  # fmt: skip
    text = words(page())
    assert "Over several days, until Tue 3 Mar: 1 h of 1 h 30 min this day." in words(opened())
    later = words(opened(on=1, day=last.isoformat()))
    assert "Goes on from Mon 2 Mar, 30 min of 1 h 30 min this day" in later
    assert "Helps with Q-1, 45 min, Jo." in text


def test_number_of_queries_does_not_grow(
    client, case, django_assert_max_num_queries, django_assert_num_queries
):
    sign_in(client, "manager", case.mechanic.shop)
    client.get(reverse("shop-days"))
    with django_assert_max_num_queries(39) as one:
        client.get(reverse("shop-days"))
    for ahead in range(6):
        machine = factories.Machine(yard__shop=case.mechanic.shop)
        job = PlannedJob.objects.create(
            plan=case.job.plan, machine=machine, day=TODAY + timedelta(days=ahead), minutes=60,
            mechanic=factories.Mechanic(shop=case.mechanic.shop),
        )  # fmt: skip
        PlannedWork.objects.create(
            plan=case.job.plan, job=job, machine=machine, work_key=key_of(machine, "oil"),
            service=case.service, minutes=60,
        )  # fmt: skip
    with django_assert_num_queries(len(one)):
        client.get(reverse("shop-days"))
