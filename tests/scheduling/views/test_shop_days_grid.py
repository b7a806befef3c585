"""Shop days at a glance: loads, cost, pins that are kept or not, what waits.  Today is 2 March."""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.models import Pin
from scheduling.models import Plan, PlannedJob, PlannedWork
from tests import factories
from tests.complete_shop import nothing_missing
from tests.factories import NOON, TODAY, key_of
from tests.pages import at_noon, sign_in, words  # noqa: F401  at_noon is a fixture
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


def pin(case, days=0, mechanic=None):
    day = TODAY + timedelta(days=days)
    return Pin.objects.create(
        machine=case.machine, work_key=key_of("Q-1", "oil"), day=day, mechanic=mechanic,
        by=case.manager, at=NOON,
    )  # fmt: skip


def test_grid_says_hours_used_of_hours_there_in_a_table(page):
    text = words(page())
    assert "Hours used of hours there, by mechanic and day" in text
    assert "Jo 1.5/8 h 0/8 h 0/8 h 0/8 h 0/8 h shut shut 0/8 h" in text
    assert "no skill asked 1.5/8 h" in text


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


def test_pin_that_is_kept_says_pinned_and_can_be_lifted(page, case):
    pin(case, mechanic=case.mechanic)
    text = words(page())
    assert "Engine oil and filter pinned" in text
    assert "Remove the pin" in text


def test_pin_that_cannot_be_kept_says_so_and_why(page, case):
    pin(case, days=2)
    PlannedWork.objects.update(
        pinned=True, unkept="pin on Wed 4 Mar cannot be kept; Wed 4 Mar: nobody works."
    )
    text = words(page())
    assert "Engine oil and filter pin not kept" in text
    assert "Pinned to Wed 4 Mar, but it is not there." in text
    assert "Pin on Wed 4 Mar cannot be kept; Wed 4 Mar: nobody works." in text
    assert "pinned 1 h" not in text


def test_what_waits_says_why_and_what_would_have_to_give(page, case):
    PlannedWork.objects.update(
        job=None, why="No place is free for it.", gives=["With 1 h more of Jo on Wed 4 Mar."]
    )
    text = words(page())
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


def test_job_over_two_days_and_second_person_are_said(page, case):
    last = TODAY + timedelta(days=1)
    helper = factories.Mechanic(shop=case.mechanic.shop, first_name="Bo")
    PlannedJob.objects.update(
        last_day=last, by_day={TODAY.isoformat(): 60, last.isoformat(): 30}, second=helper,
        second_minutes=45,
    )  # fmt: skip
    text = words(page())
    assert "Over several days, until Tue 3 Mar: 1 h of 1 h 30 min this day." in text
    assert "Goes on from Mon 2 Mar, 30 min of 1 h 30 min this day" in text
    assert "Helps Jo with Q-1, 45 min." in text


def test_number_of_queries_does_not_grow(
    client, case, django_assert_max_num_queries, django_assert_num_queries
):
    sign_in(client, "manager", case.mechanic.shop)
    client.get(reverse("shop-days"))
    with django_assert_max_num_queries(41) as one:
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
