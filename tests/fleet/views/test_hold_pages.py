"""Pages of holds: works, wrong person, wrong method, missing, bad input."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from fleet.models import Hold, LoggedChange, Role
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def hold():
    return factories.Hold(machine__tag="E-07", reason="no guard")


@pytest.fixture
def as_(client, hold):
    """Sign somebody of the machine's shop in."""

    def signed_in(role, **facts):
        shop = facts.pop("shop", hold.machine.yard.shop)
        person = factories.Person(role=role, shop=shop, **facts)
        client.force_login(person)
        return person

    return signed_in


def text(answer):
    return answer.content.decode()


@pytest.mark.parametrize("page", ["yard", "bench"])
def test_yard_and_bench_list_what_is_held_with_a_button(client, hold, as_, page):
    person = as_(Role.MANAGER)
    factories.Mechanic(shop=person.shop)
    shown = text(client.get(reverse(page)))
    for words in ("no guard", "Release E-07", f"by {hold.placed_by}", "must be true"):
        assert words in shown
    answer = client.post(reverse("release-hold", args=[hold.pk]), {"note": "ok", "back": page})
    assert answer.url == reverse(page)
    assert "Release E-07" not in text(client.get(reverse(page)))


def test_who_may_not_release_it_reads_who_may(client, hold, as_):
    as_(Role.MECHANIC)
    for page in (reverse("bench"), reverse("machine", args=["E-07"])):
        shown = text(client.get(page))
        assert f"{hold.placed_by} or another manager may release it." in shown
        assert "Release E-07" not in shown
    answer = client.post(reverse("release-hold", args=[hold.pk]), {"note": "ok"})
    assert "may release it." in text(answer)
    assert Hold.objects.get().released_at is None


def test_without_a_note_it_stays_held_and_says_what_is_missing(client, hold, as_):
    as_(Role.MANAGER)
    answer = client.post(reverse("release-hold", args=[hold.pk]), {"note": "  "})
    assert "Say what was put right" in text(answer)
    assert Hold.objects.get().released_at is None


def test_what_is_typed_too_long_is_kept_and_refused(client, hold, as_):
    as_(Role.MANAGER)
    answer = client.post(reverse("release-hold", args=[hold.pk]), {"note": "x" * 201})
    assert "x" * 201 in text(answer)


def test_another_hold_still_holds_it_and_is_named(client, hold, as_):
    as_(Role.MANAGER)
    factories.Hold(machine=hold.machine, reason="for the fair")
    answer = client.post(reverse("release-hold", args=[hold.pk]), {"note": "ok"}, follow=True)
    assert "E-07 stays held: for the fair" in text(answer)


def test_a_changed_hold_shows_old_and_new_with_who(client, hold, as_):
    owner = as_(Role.MANAGER, first_name="Mara")
    typed = {"reason": "no guard", "condition": "guard fitted", "owner": owner.pk}
    shown = text(client.post(reverse("change-hold", args=[hold.pk]), typed, follow=True))
    assert "What was changed" in shown
    assert "guard fitted" in shown
    assert LoggedChange.objects.get().by == owner


def test_a_hold_cannot_be_given_to_somebody_of_another_shop(client, hold, as_):
    as_(Role.MANAGER)
    typed = {"reason": "no guard", "condition": "", "owner": factories.Person().pk}
    assert "errorlist" in text(client.post(reverse("change-hold", args=[hold.pk]), typed))
    assert not LoggedChange.objects.exists()


@pytest.mark.parametrize("page", ["hold", "release-hold", "change-hold"])
def test_a_hold_of_another_shop_is_not_there(client, hold, as_, page):
    as_(Role.MANAGER, shop=factories.Shop())
    address = reverse(page, args=[hold.pk])
    answer = client.get(address) if page == "hold" else client.post(address, {"note": "ok"})
    assert answer.status_code == 404


@pytest.mark.parametrize(
    ("page", "role", "status"),
    [
        ("hold-machine", Role.DESK, 200),
        ("hold-machine", Role.MECHANIC, 200),
        ("safe-to-release", Role.MECHANIC, 200),
        ("safe-to-release", Role.DESK, 403),
    ],
)
def test_whose_pages_they_are(client, hold, as_, page, role, status):
    as_(role)
    assert client.get(reverse(page, args=["E-07"])).status_code == status


@pytest.mark.parametrize("page", ["release-hold", "change-hold"])
def test_to_release_and_to_change_takes_a_press(client, hold, as_, page):
    as_(Role.MANAGER)
    assert client.get(reverse(page, args=[hold.pk])).status_code == 405


def test_a_hold_without_a_reason_is_not_hung(client, hold, as_):
    person = as_(Role.DESK)
    page = reverse("hold-machine", args=["E-07"])
    answer = client.post(page, {"reason": " ", "owner": person.pk})
    assert "Nothing has been saved yet" in text(answer)
    assert Hold.objects.count() == 1


def test_who_is_signed_out_signs_in_first(client, hold):
    assert client.get(reverse("hold", args=[hold.pk])).status_code == 302


def test_a_machine_with_bookings_to_come_leads_to_what_becomes_of_them(client, hold, as_):
    today = timezone.now().date()
    booking = factories.Booking(
        machine=factories.Machine(tag="E-08", yard=hold.machine.yard),
        first_day=today + timedelta(days=3), last_day=today + timedelta(days=5),
    )  # fmt: skip
    address = reverse("hold-machine", args=["E-08"])
    bookings = reverse("machine-bookings", args=[booking.machine.tag])
    wants = {"reason": "brakes drag", "owner": as_(Role.DESK).pk}
    assert client.post(address, wants).headers["Location"] == bookings
