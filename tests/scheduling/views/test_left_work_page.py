"""Work left under way by mistake: undone within minutes, or taken back on the sheet later."""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.models import Act, Progress, Reading
from tests import factories
from tests.factories import NOON, TODAY, key_of
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(client, monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    case = bench_case()
    client.force_login(case.mechanic)
    return case


def leave(client, **more):
    place = f"{reverse('leave-work', args=['Q-1'])}?day={TODAY}"
    fields = {"form_key": "a" * 32, "done": [key_of("Q-1", "oil")], "worked": "40", "left": "50"}
    return client.post(place, fields | more, follow=True).text


def take_back(client, row):
    return client.post(reverse("left-work-take-back", args=[row.pk]), follow=True)


def test_what_was_left_is_undone_by_one_press_and_its_reading_by_the_next(client, case):
    page = " ".join(leave(client, reading_hours="131").split())
    assert "Undo the work of Q-1 left under way" in page
    client.post(reverse("undo", args=[Act.objects.first().pk]))
    assert not Progress.objects.exists()
    assert (row := Progress.every.get()).struck_by == case.mechanic
    assert row.struck_at == NOON
    assert Reading.objects.filter(value=131).exists()
    assert "Undo the reading of Q-1" in " ".join(client.get(reverse("bench")).text.split())


def test_after_that_the_sheet_is_as_it_was_and_can_be_left_again(client, case):
    leave(client)
    client.post(reverse("undo", args=[Act.objects.first().pk]))
    sheet = client.get(f"{reverse('job', args=['Q-1'])}?day={TODAY}").text
    assert "last worked on by" not in sheet
    key = sheet.split('name="form_key" value="')[1][:32]
    leave(client, form_key=key, left="20")
    assert Progress.objects.get().minutes_left == 20


def test_later_it_is_taken_back_on_the_sheet_and_the_word_before_counts_again(
    client, case, monkeypatch
):
    leave(client)
    later = NOON + timedelta(hours=2)
    monkeypatch.setattr("django.utils.timezone.now", lambda: later)
    leave(client, form_key="b" * 32, left="500")
    page = take_back(client, Progress.objects.latest("pk"))
    assert "Q-1: taken back; it stays on record." in page.text
    assert "last worked on by Jo: 50 min left" in page.text
    for _ in range(2):  # pressed twice, the second finds nothing to take back
        assert take_back(client, Progress.every.latest("pk")).status_code == 404
    assert Progress.every.count() == 2


def test_it_wants_a_post_and_a_mechanic_of_that_shop(client, case):
    leave(client)
    row = Progress.objects.get()
    assert client.get(reverse("left-work-take-back", args=[row.pk])).status_code == 405
    client.force_login(factories.Person(role="desk", shop=case.mechanic.shop))
    assert take_back(client, row).status_code == 403
    client.force_login(factories.Person(role="mechanic", shop=factories.Shop(name="Zz")))
    assert take_back(client, row).status_code == 404
    assert Progress.objects.exists()


def test_the_bench_counts_what_was_left_no_more_for_this_day(client, case):
    bench = " ".join(leave(client).split())
    assert "Nothing more for this day: what is not done goes on another day." in bench
    assert ">0 min<" not in bench
    assert "Open Q-1" in bench  # who goes on after all opens it here
