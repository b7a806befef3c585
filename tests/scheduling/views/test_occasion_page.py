"""Before hire, return and storage: offered where the occasion is, done on a sheet, in the book."""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.actions.take_procedures import take_procedures
from fleet.models import Finding, Role, Service, ServiceRecord, Storage
from fleet.procedures.library import ON_OCCASION, library
from fleet.queries.occasion_services import occasion_services
from scheduling.due.refresh import refresh
from scheduling.models import DuePoint, State
from tests import factories
from tests.factories import NOON, TODAY, key_of
from tests.scheduling.bench_data import bench_case
from tests.scheduling.counter_case import FINE, open_counter

pytestmark = pytest.mark.django_db


def take_for(machine):
    """Make the machine a quad, whose shop took all that the library has for quads."""
    machine.makeup.machine_class.name = "Quad"
    machine.makeup.machine_class.save()
    quad = next(one for one in library() if one.kind == "quad")
    take_procedures(quad.procedures, by=None, now=NOON)
    machine.makeup.traits = {"engine": "petrol", "throttle-limiter": "yes"}
    machine.makeup.save()


@pytest.fixture
def case(client, monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    case = bench_case()
    take_for(case.machine)
    client.force_login(case.mechanic)
    return case


def service(code):
    return Service.objects.get(code=code)


def sheet(case, code):
    return f"{reverse('job', args=[case.machine.tag])}?day={TODAY}&also={service(code).pk}"


def test_a_machine_has_what_is_done_to_its_class_on_an_occasion(case):
    rows = occasion_services(case.machine, TODAY)
    assert [one.occasion for one in rows] == list(ON_OCCASION)
    assert not any(one.service.blocks_rental for one in rows)


def test_its_page_and_its_label_lead_to_the_sheet(case, client):
    address = f"{reverse('job', args=['Q-1'])}?also={service('quad-into-storage').pk}"
    for page in (case.machine.get_absolute_url(), reverse("scan", args=[case.machine.pk])):
        text = client.get(page).text
        assert all(f"Quad: {title.lower()}" in text for title in ON_OCCASION.values())
        assert address in text


@pytest.mark.parametrize("code", [f"quad-{one}" for one in ON_OCCASION])
def test_it_is_done_on_a_sheet_and_written_into_the_book(case, client, code):
    done = service(code)
    required = {f"step_{done.pk}_{step.key}": "good" for step in done.steps.filter(kind="check")}
    text = client.get(sheet(case, code)).text
    assert done.name in text
    key = key_of("Q-1", code)
    typed = {"done": [key], "reading_hours": "125.5", "minutes": "20", "asked": done.pk}
    answer = client.post(sheet(case, code), typed | required)
    assert answer.status_code == 302, answer.text
    record = ServiceRecord.objects.get()
    assert (record.service, record.machine, record.done_by) == (done, case.machine, case.mechanic)
    row = next(one for one in occasion_services(case.machine, TODAY) if one.service == done)
    assert row.last == TODAY


def test_the_throttle_limiter_goes_on_for_a_hire_and_off_at_its_return(case, client):
    assert "Throttle limiter on for a beginner" in client.get(sheet(case, "quad-before-hire")).text
    assert "Throttle limiter off again" in client.get(sheet(case, "quad-return")).text


def test_what_is_no_occasion_of_the_machine_does_not_come_onto_its_sheet(case, client):
    other = factories.Service(name="Mast chains measured")
    page = client.get(f"{reverse('job', args=['Q-1'])}?day={TODAY}&also={other.pk}")
    assert page.status_code == 200
    assert "Mast chains" not in page.text
    assert client.get(f"{reverse('job', args=['Q-1'])}?day={TODAY}&also=x").status_code == 200


def test_what_the_shop_is_asked_for_falls_due_and_is_settled_by_doing_it(case, client):
    wanted = service("quad-before-hire")
    address = reverse("ask-on-occasion", args=["Q-1"])
    for _ in range(2):
        client.post(address, {"service": wanted.pk})
    finding = Finding.objects.get()
    assert (finding.calls_for, finding.gravity) == (wanted, Finding.Gravity.NOTE)
    refresh([case.machine.pk], NOON)
    assert DuePoint.objects.get(service=wanted).state in (State.DUE, State.OVERDUE)
    typed = {"done": [key_of("Q-1", "quad-before-hire")], "reading_hours": "125.5", "minutes": "20"}
    typed |= {f"step_{wanted.pk}_{step.key}": "good" for step in wanted.steps.filter(kind="check")}
    client.post(f"{reverse('job', args=['Q-1'])}?day={TODAY}", typed)
    finding.refresh_from_db()
    assert finding.settled_at is not None


def test_what_is_left_under_way_is_asked_for_so_that_the_plan_has_it(case, client):
    wanted = service("quad-into-storage")
    leave = f"{reverse('leave-work', args=['Q-1'])}?day={TODAY}"
    done = key_of("Q-1", "quad-into-storage")
    client.post(leave, {"done": [done], "worked": "10", "left": "50", "asked": wanted.pk})
    assert Finding.objects.get().calls_for == wanted


def test_another_service_is_not_asked_for_so(case, client):
    answer = client.post(reverse("ask-on-occasion", args=["Q-1"]), {"service": case.service.pk})
    assert answer.url == case.machine.get_absolute_url()
    assert not Finding.objects.exists()


def test_it_leads_back_to_where_it_was_asked_and_nowhere_outside(case, client):
    address, wanted = reverse("ask-on-occasion", args=["Q-1"]), service("quad-return").pk
    back = reverse("scan", args=[case.machine.pk])
    assert client.post(address, {"service": wanted, "back": back}).url == back
    for outside in ("https://example.org/", "//example.org", "javascript:x"):
        answer = client.post(address, {"service": wanted, "back": outside})
        assert answer.url == case.machine.get_absolute_url()


@pytest.mark.parametrize(
    ("first", "last", "wanted"),
    [(5, 60, "quad-into-storage"), (-80, 4, "quad-out-of-storage"), (40, 90, "")],
)
def test_storage_calls_for_what_belongs_to_it(case, first, last, wanted):
    day = timedelta(days=1)
    Storage.objects.create(
        machine=case.machine, first_day=TODAY + first * day, last_day=TODAY + last * day
    )
    called = {one.service.code for one in occasion_services(case.machine, TODAY) if one.why}
    if first < 0:  # it went in when it began, as the book says
        ServiceRecord.objects.create(
            machine=case.machine, service=service("quad-into-storage"),
            done_at=NOON + first * day, entered_at=NOON,
        )  # fmt: skip
        called = {one.service.code for one in occasion_services(case.machine, TODAY) if one.why}
    assert called == ({wanted} if wanted else set())


def test_a_hand_is_offered_none_of_it(case, client):
    hand = factories.Person(role=Role.HAND, shop=case.mechanic.shop)
    client.force_login(hand)
    assert "before hire" not in client.get(reverse("scan", args=[case.machine.pk])).text.lower()


def test_the_counter_offers_what_is_done_before_hire_and_at_return(client, monkeypatch):
    case = open_counter(client, monkeypatch)
    take_for(case.machine)
    booking = case.booking()
    text = client.get(reverse("check-out", args=[booking.pk])).text
    assert "Quad: before hire" in text
    assert "Quad: return" not in text
    assert "Ask the shop for it" in text
    typed = {"form_key": "k1", "reading_hours": "110", **FINE}
    client.post(reverse("check-out", args=[booking.pk]), typed)
    text = client.get(reverse("check-in", args=[booking.pk])).text
    assert "Quad: return" in text
    assert "Quad: before hire" not in text
    client.post(
        reverse("ask-on-occasion", args=[case.machine.tag]), {"service": service("quad-return").pk}
    )
    assert Finding.objects.get().calls_for == service("quad-return")
