"""Would plans have done better?  Asked, lived in slices, shown.  Today is Monday 2 March 2026."""

import json
import re
from io import BytesIO
from itertools import count

import pytest
from django.urls import reverse
from openpyxl import load_workbook

from fleet.models import Reading, ServiceRecord
from scheduling.actions.live_again import live_slice
from scheduling.hindsight.past_loading import load_past
from scheduling.hindsight.replayed_year import Relived
from scheduling.models import Hindsight, OutboxEntry
from scheduling.outbox.entries import back_off, owe
from scheduling.queries.lived_pasts import entry_key
from scheduling.worker.perform import perform_entry
from tests import factories as make
from tests.factories import NOON
from tests.pages import answer, at_noon, sign_in, words  # noqa: F401  at_noon is a fixture
from tests.scheduling.hindsight.past_case import FIRST, LAST, NOW, made_past

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]

RANGE = {"low": 60.0, "high": 95.0}
FIGURES = ("overdue_days", "hard_days", "bookings", "visits", "services", "worked", "overtime",
           "thrown", "put_off")  # fmt: skip
RESULT = {
    "nights": 120, "machines": 4, "lines": 4, "seeds": 3,
    "was": dict.fromkeys(FIGURES, 412.0),
    **{name: dict.fromkeys(FIGURES, RANGE) for name in ("plans", "one_more", "one_less")},
    "cannot_tell": {"overtime": "Nothing can be said of overtime."},
    "known": {"services": 20, "timed": 4, "late_bookings": 0, "unsure": 0, "given": 0},
}  # fmt: skip


@pytest.fixture
def shop():
    return make.Machine().yard.shop


def page(client, query=""):
    return client.get(reverse("hindsight") + query)


def lived(shop, **fields):
    usual = {"first_day": FIRST, "last_day": LAST, "asked_at": NOON, "ended_at": NOON,
             "result": RESULT}  # fmt: skip
    return Hindsight.objects.create(shop=shop, **{**usual, **fields})


def test_the_first_line_says_how_many_overdue_days_there_were_and_would_have_been(client, shop):
    lived(shop)
    sign_in(client, shop=shop)
    response = page(client)
    assert answer(response) == (
        "From 2 November 2025 to 1 March 2026 the shop had 412 overdue machine-days;"
        " Evener's plans would have had 60 to 95."
    )
    said = words(response)
    assert "Nothing can be said of overtime." in said
    assert "Hours of overtime" not in said
    assert "knows only what was read, done, booked or told before it" in said


def test_the_figures_come_as_files_with_the_ends_of_each_range(client, shop):
    lived(shop)
    sign_in(client, shop=shop)
    addresses = re.findall(r'href="([^"]*/figures\.\w+[^"]*)"', page(client).text)
    csv, xlsx = (client.get(address.replace("&amp;", "&")) for address in addresses)
    head, first, *rest = csv.content.decode("utf-8-sig").splitlines()
    assert head.startswith('figure,as it was,"plans, least","plans, most"')
    assert first == "Overdue machine-days,412.0,60.0,95.0,60.0,95.0,60.0,95.0"
    assert rest[-1].startswith("Visits planned and not made that day,,60.0")
    assert "overtime" not in csv.text  # nothing can be said of it
    _, row, *_ = load_workbook(BytesIO(xlsx.content)).active.iter_rows(values_only=True)
    assert row == ("Overdue machine-days", 412, *(60, 95) * 3)


def test_before_anything_was_lived_the_file_has_its_titles_alone(client, shop):
    sign_in(client, shop=shop)
    answer = client.get(reverse("hindsight-file", args=["csv"]))
    assert len(answer.text.splitlines()) == 1
    assert client.get(reverse("hindsight-file", args=["pdf"])).status_code == 404


def test_what_a_try_failed_of_is_said_while_it_is_under_way(client, shop):
    row = lived(shop, ended_at=None, result={}, nights_lived=30)
    entry = owe(entry_key(row), OutboxEntry.Kind.PAST, {"hindsight": row.pk}, NOON, NOON)
    sign_in(client, shop=shop)
    assert "It did not get on" not in words(page(client))
    back_off(entry, NOON, "The machine ran out of memory.")
    assert (
        "It did not get on just now, and is tried again by itself: The machine ran out of memory."
    ) in words(page(client))


def test_the_price_of_the_plans_stands_beside_what_they_bring(client, shop):
    lived(shop)
    sign_in(client, shop=shop)
    said = words(page(client))
    assert (
        "What it takes: services done 412, with plans 60 to 95; hours thrown away by early work"
        " 412, with plans 60 to 95."
    ) in said
    assert (
        "One mechanic-day a week more or less changes the overdue days no more than chance does."
        in said
    )


def test_other_hands_that_change_it_by_more_than_chance_are_told(client, shop):
    fewer = RESULT["one_more"] | {"overdue_days": {"low": 20.0, "high": 40.0}}
    lived(shop, result=RESULT | {"one_more": fewer})
    sign_in(client, shop=shop)
    assert (
        "With one mechanic-day a week more it would have been 20 to 40, with one less 60 to 95."
    ) in words(page(client))


def test_a_result_of_one_run_says_that_chance_cannot_be_told(client, shop):
    lived(shop, result=RESULT | {"seeds": 1})
    sign_in(client, shop=shop)
    said = words(page(client))
    assert "It was lived once, so how much of a difference is chance cannot be told." in said
    assert "1 run " not in said


def test_a_shop_without_a_past_is_told_why(client, shop):
    sign_in(client, shop=shop)
    response = page(client)
    assert "there is no past to live through again" in answer(response)
    assert reverse("hindsight-ask").encode() not in response.content
    client.post(reverse("hindsight-ask"))
    assert not Hindsight.objects.exists()


def test_what_is_under_way_shows_how_far_it_is_and_can_be_stopped(client, shop):
    row = lived(shop, ended_at=None, result={}, nights_lived=30)
    sign_in(client, shop=shop)
    response = page(client)
    assert answer(response) == "30 of 120 nights have been lived through again."
    client.post(f"{reverse('hindsight-stop')}?shop={shop.pk}")
    row.refresh_from_db()
    assert row.stopped
    assert row.ended_at == NOON
    assert live_slice(row.pk, NOON)  # nothing is left to do


def test_the_part_that_renews_itself_is_sent_alone(client, shop):
    lived(shop, ended_at=None, result={})
    sign_in(client, shop=shop)
    part = client.get(reverse("hindsight"), headers={"HX-Request": "true"}).content.decode()
    assert part.lstrip().startswith('<div id="lived"')
    assert 'hx-trigger="every 3s"' in part


def test_yard_and_planned_and_done_lead_here(client, shop):
    sign_in(client, shop=shop)
    for name in ("yard", "planned-done"):
        assert reverse("hindsight").encode() in client.get(reverse(name)).content
    sign_in(client, "mechanic", shop)
    assert reverse("hindsight").encode() not in client.get(reverse("planned-done")).content


@pytest.mark.parametrize("role", ["desk", "mechanic"])
def test_it_is_the_managers_alone(client, shop, role):
    sign_in(client, role, shop)
    assert page(client).status_code == 403
    for name in ("hindsight-ask", "hindsight-stop"):
        assert client.post(reverse(name)).status_code == 403


def test_signed_out_it_asks_to_sign_in(client):
    assert page(client).url == f"{reverse('sign-in')}?next={reverse('hindsight')}"


def test_a_form_that_is_only_asked_for_is_refused(client, shop):
    sign_in(client, shop=shop)
    assert client.get(reverse("hindsight-ask")).status_code == 405


@pytest.fixture
def short():
    """A past of 110 nights."""
    shop = made_past()
    Reading.objects.filter(read_at__lt=NOW - (NOW.date() - FIRST) * 110 / 120).delete()
    return shop


def test_asked_for_twice_it_is_lived_once_and_in_slices(client, short, monkeypatch):
    """Each slice lives as many nights as fit; what comes out is what one go would give."""
    monkeypatch.setattr("scheduling.core.replay.courses.quick_plan", lambda *_, **__: {})
    sign_in(client, shop=short)
    for _ in range(2):
        assert client.post(f"{reverse('hindsight-ask')}?shop={short.pk}").status_code == 302
    row = Hindsight.objects.get()
    ticks = count()
    monkeypatch.setattr("scheduling.actions.live_again.SLICE", 90.0)
    assert not live_slice(row.pk, NOW, clock=lambda: float(next(ticks)))
    row.refresh_from_db()
    assert 0 < row.nights_lived < row.nights
    assert row.state["night"] == row.nights_lived
    entry = OutboxEntry.objects.get(kind="past")
    assert perform_entry(entry.pk, NOW)
    row.refresh_from_db()
    assert row.ended_at
    assert not row.state
    assert row.result["nights"] == row.nights
    assert row.result["was"]["overdue_days"] > 0


def test_a_life_cut_off_goes_on_as_if_it_had_not_been():
    shop = made_past()
    past = load_past(shop, FIRST, LAST, NOW)
    whole, cut = Relived(past, 1), Relived(past, 1)
    for _ in range(4):
        cut.live()
    cut = Relived(load_past(shop, FIRST, LAST, NOW), 1, json.loads(json.dumps(cut.as_state())))
    for _ in range(9):
        whole.live()
    for _ in range(5):
        cut.live()
    assert cut.as_state() == whole.as_state()
    assert cut.courses["plans"][0].book.added


def test_a_past_that_says_nothing_ends_with_the_reason(client):
    shop = made_past()
    row = lived(shop, ended_at=None, result={})
    ServiceRecord.objects.update(void=True)
    assert live_slice(row.pk, NOW)
    sign_in(client, shop=shop)
    assert answer(page(client)).startswith("Only 0 services")
