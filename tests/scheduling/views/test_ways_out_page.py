"""Each way out of a booking pressed; the customer is kept.  Today is Monday 2 March 2026."""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.models import HandOver, LoggedChange, Override, OvertimeDay, Pin
from scheduling.models import PlanSearch
from scheduling.queries.bookings_at_risk import open_bookings, risks_of
from scheduling.queries.risk_advice import at_risk
from scheduling.queries.risk_groups import risk_groups
from tests import factories
from tests.factories import NOON, TODAY
from tests.pages import answer, at_noon, sign_in, words  # noqa: F401  at_noon is a fixture
from tests.scheduling.ways_case import ways_case

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]
DAY = timedelta(days=1)


@pytest.fixture
def case(client):
    made = ways_case()
    client.force_login(made.shop.manager)
    return made


def press(client, case, **data):
    return client.post(reverse("take-way-out", args=[case.booking.pk]), data, follow=True)


def no_way(case):
    rows = open_bookings(case.free.yard.shop, TODAY)
    groups = risk_groups(at_risk(risks_of(rows, TODAY), TODAY), (), TODAY)
    return [entry.booking for entry in groups.no_way]


def test_the_page_counts_the_ways_and_its_part_stands_on_the_yard(client, case):
    address = reverse("ways-out", args=[case.booking.pk])
    response = client.get(address)
    assert answer(response) == "2 ways to keep Two Sisters."
    part = client.get(address, headers={"HX-Request": "true"}).content.decode()
    assert "Give Q-2 instead" in part
    assert "<html" not in part
    yard = client.get(reverse("yard")).content.decode()
    assert f'hx-get="{address}" hx-trigger="toggle from:closest details once"' in yard
    assert '<details class="fold line" data-open-wide>' in yard  # shut where no script opens it


def test_another_machine_takes_the_booking_and_the_customer_is_kept(client, case):
    assert no_way(case) == [case.booking]
    response = press(client, case, kind="swap", machine="Q-2")
    case.booking.refresh_from_db()
    assert (case.booking.machine, case.booking.customer) == (case.free, "Two Sisters")
    assert "Two Sisters gets Q-2 in place of Q-1." in words(response)
    assert LoggedChange.objects.filter(act="given another machine").count() == 1
    assert no_way(case) == []


def test_a_sooner_day_is_pinned_and_the_shop_planned_around_it(client, case):
    day = TODAY + DAY
    press(
        client, case, kind="sooner", work_key=case.shop.work.work_key, day=day.isoformat(),
        mechanic=case.shop.mechanic.username,
    )  # fmt: skip
    assert Pin.objects.get().day == day
    assert PlanSearch.objects.get().cause == "hand"


def test_overtime_is_allowed_on_top_of_what_was(client, case):
    shop, day = case.free.yard.shop, TODAY + DAY
    OvertimeDay.objects.create(shop=shop, day=day, hours=1, by=case.shop.manager, at=NOON)
    press(
        client, case, kind="overtime", work_key=case.shop.work.work_key, day=day.isoformat(),
        mechanic=case.shop.mechanic.username, hours="0.5",
    )  # fmt: skip
    assert OvertimeDay.objects.last().hours == 1.5
    assert Pin.objects.get().day == day


def test_a_shorter_booking_keeps_its_customer_and_its_old_day_on_record(client, case):
    back = case.booking.first_day + DAY
    response = press(client, case, kind="shorter", last_day=back.isoformat())
    case.booking.refresh_from_db()
    assert case.booking.last_day == back
    assert case.booking.changes.get().reason == (
        "a service falls due before the machine would have been back"
    )
    assert "Two Sisters brings Q-1 back by Sat 7 Mar." in words(response)


def test_it_goes_anyway_with_a_name_and_a_reason_once(client, case):
    for _ in range(2):
        press(client, case, kind="anyway", reason="a short hire close by")
    row = Override.objects.get()
    assert (row.by, row.reason) == (case.shop.manager, "a short hire close by")
    assert no_way(case) == []
    assert "let it go anyway on Mon 2 Mar: a short hire close by" in words(
        client.get(reverse("risk-group", args=["in-time"]))
    )


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        ({}, "This way is no longer there"),
        ({"kind": "nonsense"}, "This way is no longer there"),
        ({"kind": "swap", "machine": "NOT-THERE"}, "This way is no longer there"),
        ({"kind": "shorter"}, "This way is no longer there"),
        ({"kind": "shorter", "last_day": "2026-03-30"}, "That is later than it was booked for"),
        ({"kind": "shorter", "last_day": "2026-02-01"}, "The last day cannot be before today"),
        ({"kind": "anyway"}, "say why it goes out anyway"),
        ({"kind": "sooner", "day": "2026-03-03"}, "Tick at least one piece of work"),
        ({"kind": "sooner", "day": "2026-03-03", "work_key": "m:1:99"}, "no longer in the plan"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_changes(client, case, data, sentence):
    response = press(client, case, **data)
    assert sentence in words(response)
    case.booking.refresh_from_db()
    assert case.booking.machine == case.shop.machine
    assert not Pin.objects.exists()
    assert not Override.objects.exists()


def test_what_has_gone_out_has_no_ways(client, case):
    HandOver.objects.create(booking=case.booking, direction="out", at=NOON)
    response = client.get(reverse("ways-out", args=[case.booking.pk]))
    assert answer(response) == "It has gone out."


def test_others_neither_see_nor_take_them(client, case):
    address = reverse("ways-out", args=[case.booking.pk])
    for role in ("desk", "mechanic"):
        sign_in(client, role, shop=case.free.yard.shop)
        assert client.get(address).status_code == 403
        assert press(client, case, kind="anyway", reason="no").status_code == 403
    sign_in(client, shop=factories.Shop())
    assert client.get(address).status_code == 404
    assert client.get(reverse("take-way-out", args=[case.booking.pk])).status_code == 405


def test_after_a_way_the_same_yard_is_shown_narrowed_down_as_it_was(client, case):
    shop = case.free.yard.shop
    response = press(
        client, case, kind="anyway", reason="a short hire close by",
        asked=f"yard={case.free.yard_id}&state=overdue&overdue=2&nonsense=1",
    )  # fmt: skip
    (address, _code), *_ = response.redirect_chain
    assert address == f"{reverse('yard')}?shop={shop.pk}&yard={case.free.yard_id}&state=overdue"
    ways = client.get(
        reverse("ways-out", args=[case.booking.pk]),
        headers={"HX-Request": "true", "HX-Current-URL": "http://testserver/yard/?state=due#x"},
    ).content.decode()
    assert '<input type="hidden" name="asked" value="state=due">' in ways


def test_what_goes_anyway_is_said_truly_and_can_be_taken_back(client, case):
    press(client, case, kind="anyway", reason="a short hire close by")
    page = reverse("booking", args=[case.booking.pk])
    shown = words(client.get(page))
    assert "Is to go anyway, despite:" in shown
    assert "Sent out despite" not in shown
    assert f"{page}#happened" in client.get(reverse("risk-group", args=["in-time"])).text
    row = Override.objects.get()
    back = reverse("override-back", args=[row.pk])
    assert "Say why it is taken back" in words(client.post(back, {}, follow=True))
    shown = words(client.post(back, {"why": "the oil can be done"}, follow=True))
    assert "Was to go anyway, despite:" in shown
    assert f"Taken back by {case.shop.manager}" in shown
    assert "the oil can be done" in shown
    assert no_way(case) == [case.booking]


def test_once_it_has_gone_it_was_sent_out_and_is_not_taken_back_here(client, case):
    press(client, case, kind="anyway", reason="a short hire close by")
    HandOver.objects.create(booking=case.booking, direction="out", at=NOON)
    page = client.get(reverse("booking", args=[case.booking.pk]))
    assert "Sent out despite:" in words(page)
    row = Override.objects.get()
    assert reverse("override-back", args=[row.pk]) not in page.text
    client.post(reverse("override-back", args=[row.pk]), {"why": "no"})
    row.refresh_from_db()
    assert not row.struck


def test_the_desk_takes_its_own_decisions_back_alone(client, case):
    press(client, case, kind="anyway", reason="a short hire close by")
    row = Override.objects.get()
    desk = sign_in(client, "desk", shop=case.free.yard.shop)
    back = reverse("override-back", args=[row.pk])
    page = client.get(reverse("booking", args=[case.booking.pk]))
    assert back not in page.text
    said = words(client.post(back, {"why": "no"}, follow=True))
    assert "decided it: they, or a manager, take it back" in said
    Override.objects.update(by=desk)
    client.post(back, {"why": "it is done first"})
    row.refresh_from_db()
    assert row.struck


def test_overtime_that_a_press_allowed_stands_on_its_shop_day_and_is_taken_back(client, case):
    shop, day = case.free.yard.shop, TODAY + DAY
    press(
        client, case, kind="overtime", work_key=case.shop.work.work_key, day=day.isoformat(),
        mechanic=case.shop.mechanic.username, hours="0.5",
    )  # fmt: skip
    page = words(client.get(reverse("shop-days")))
    assert "0.5 h more of overtime allowed." in page
    assert f"0.5 h more for each mechanic, allowed by {case.shop.manager}" in page
    assert "0.5 h more" in words(client.get(reverse("shop-days"), {"view": "month"}))
    before = PlanSearch.objects.count()
    client.post(reverse("overtime-back"), {"day": day.isoformat()})
    assert OvertimeDay.objects.filter(shop=shop, day=day).last().hours == 0
    assert PlanSearch.objects.count() >= before
    assert "of overtime allowed" not in words(client.get(reverse("shop-days")))
    for wrong, said in (("soon", "Write the day as"), ("2026-02-27", "That day has gone by")):
        gone = client.post(reverse("overtime-back"), {"day": wrong}, follow=True)
        assert said in words(gone)
