"""A sheet that was finished without a signal: of its own time, and beside what others wrote."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from fleet.from_phone import AGO, BY_ITSELF, TAKEN
from fleet.models import Finding, Hold, Progress, Reading, ServiceRecord
from scheduling.models import Block, DuePoint, Plan, State
from tests import factories
from tests.factories import key_of
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db
LATE = {AGO: str(30 * 3600)}


@pytest.fixture
def case(client):
    today = timezone.now().date()
    case = bench_case(today)
    Plan.objects.update(first_day=today - timedelta(days=3))
    client.force_login(case.mechanic)
    return case


@pytest.fixture
def written_by_wes(case):
    """Somebody else has written the same work into the book meanwhile."""
    wes = factories.Mechanic(shop=case.mechanic.shop, first_name="Wes", last_name="")
    hour_ago = timezone.now() - timedelta(hours=1)
    DuePoint.objects.update(state=State.CLEAR, last_done_on=hour_ago.date())
    return factories.ServiceRecord(
        machine=case.machine, service=case.service, done_at=hour_ago, done_by=wes,
        entered_by=wes, entered_at=hour_ago, note="his own words",
    )  # fmt: skip


def finish(client, case, url="job", headers=LATE, **more):
    sent = {"form_key": "a" * 32, "done": [key_of("Q-1", "oil")], "reading_hours": "125.5"}
    return client.post(reverse(url, args=["Q-1"]), sent | more, headers=headers)


def test_what_was_finished_yesterday_is_in_the_book_of_yesterday(client, case):
    finish(client, case)
    record, reading = ServiceRecord.objects.get(), Reading.objects.get(value=125.5)
    assert record.done_at == reading.read_at
    assert timedelta(hours=29.9) < record.entered_at - record.done_at < timedelta(hours=30.1)


def test_a_limit_measured_yesterday_holds_the_machine_since_yesterday(
    client, case, django_capture_on_commit_callbacks
):
    limit = case.service.limits.get()
    case.service.limits.update(low=100, safety=True)
    with django_capture_on_commit_callbacks(execute=True):
        finish(client, case, **{f"limit_{limit.pk}": "90"})
    record, found = ServiceRecord.objects.get(), Finding.objects.get()
    assert (found.seen_at, found.gravity) == (record.done_at, Finding.Gravity.UNSAFE)
    hold = Hold.objects.get(finding=found)
    assert hold.placed_at == record.done_at
    assert timezone.now() - hold.placed_at > timedelta(hours=29)
    shop_day = hold.placed_at.astimezone(case.machine.yard.zone).date()
    (block,) = Block.objects.filter(machine=case.machine, kind=Block.Kind.HOLD)
    assert block.first_day <= shop_day


def test_what_a_late_sheet_put_right_was_put_right_then(client, case):
    asked = factories.Finding(
        machine=case.machine, calls_for=case.service, seen_at=timezone.now() - timedelta(days=3)
    )
    finish(client, case)
    asked.refresh_from_db()
    assert asked.settled_at == ServiceRecord.objects.get().done_at


def test_what_was_left_under_way_was_worked_on_then(client, case):
    finish(client, case, "leave-work", worked="30", left="40")
    assert timezone.now() - Progress.objects.get().at > timedelta(hours=29)


def test_what_another_wrote_meanwhile_stands_and_so_does_what_comes_in_late(
    client, case, written_by_wes
):
    limit = case.service.limits.get()
    answer = finish(client, case, note="mine", **{f"limit_{limit.pk}": "250"})
    assert answer.status_code == 302
    his, own = ServiceRecord.objects.order_by("-done_at")
    assert (his, his.note, his.corrects) == (written_by_wes, "his own words", None)
    assert (own.done_by, own.measurements.get().value) == (case.mechanic, 250)
    assert own.note.startswith("mine Wes wrote Engine oil and filter into the book at ")
    shown = client.get(answer.url).text
    assert "Q-1: Wes wrote Engine oil and filter into the book" in shown
    book = client.get(case.machine.get_absolute_url()).text
    assert "his own words" in book
    assert "mine Wes wrote" in book


def test_what_is_pressed_with_a_signal_is_asked_about_as_ever(client, case, written_by_wes):
    assert "no longer on the sheet" in finish(client, case, headers={}).text
    assert ServiceRecord.objects.count() == 1


def test_a_key_of_another_machine_brings_no_work_onto_the_sheet(client, case):
    other = factories.Machine(tag="Q-2", yard=case.machine.yard)
    answer = finish(client, case, done=[key_of(other.tag, "oil")])
    assert "no longer on the sheet" in answer.text
    assert not ServiceRecord.objects.exists()


def test_a_refusal_that_leads_on_is_told_as_one_to_a_phone_each_time(client, case):
    url = f"{reverse('pull-missing')}?mechanic={case.mechanic.username}"
    sent = {"part": "0", "found": "2", "act_key": f"{case.mechanic.pk}xabc"}
    for _ in range(2):
        answer = client.post(url, sent, headers={BY_ITSELF: "1"})
        assert (answer.status_code, answer.headers[TAKEN]) == (204, "no")
