"""A machine's life through its pages.  Today is Monday 2 March 2026."""

import pytest
from django.urls import reverse

from fleet.models import FormerTag, Machine
from scheduling.due.refresh import refresh
from tests import consequences, factories
from tests.factories import TODAY
from tests.pages import answer, at_noon, sign_in, words  # noqa: F401  at_noon is a fixture

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]


@pytest.fixture
def machine(client):
    return factories.Machine(tag="MX-02", yard__shop=sign_in(client).shop)


def send(client, page, tag="MX-02", **fields):
    fields = {"reason": "as agreed", **fields}
    return client.post(reverse(f"machine-{page}", args=[tag]), fields, follow=True)


def test_a_renamed_machine_answers_to_both_addresses(client, machine):
    page = send(client, "rename", tag="MX-02")
    assert page.status_code == 422
    page = client.post(
        reverse("machine-rename", args=["MX-02"]), {"tag": "EX-20", "reason": "new signs"}
    )
    assert page.headers["Location"] == reverse("machine", args=["EX-20"])
    old = client.get(reverse("machine", args=["MX-02"]) + "?book=all", follow=True)
    assert old.redirect_chain == [(reverse("machine", args=["EX-20"]) + "?book=all", 307)]
    assert "before: MX-02 until 2 Mar 2026" in words(old)


@pytest.mark.parametrize(
    ("role", "name"), [("mechanic", "job"), ("desk", "counter-book"), ("manager", "machine-move")]
)
def test_other_addresses_with_an_old_tag_lead_on_too(client, machine, role, name):
    FormerTag.objects.create(machine=machine, tag="OLD", given_up_at="2026-01-01T00:00Z")
    sign_in(client, role, machine.yard.shop)
    page = client.get(reverse(name, args=["OLD"]))
    assert page.headers["Location"] == reverse(name, args=["MX-02"])


def test_a_tag_that_another_gave_up_is_asked_about_and_then_taken(client, machine):
    other = factories.Machine(tag="EX-20", yard=machine.yard)
    FormerTag.objects.create(machine=other, tag="EX-02", given_up_at="2026-01-01T00:00Z")
    address = reverse("machine-rename", args=["MX-02"])
    page = client.post(address, {"tag": "EX-02", "reason": "new signs"})
    assert "was the tag of EX-20 until 1 Jan 2026" in words(page)
    assert 'type="checkbox" name="take_former"' in page.text
    client.post(address, {"tag": "EX-02", "reason": "new signs", "take_former": "on"})
    machine.refresh_from_db()
    assert machine.tag == "EX-02"


def test_a_machine_moves_with_its_bookings_asked_about_where_the_shop_is_another(client, machine):
    person = sign_in(client)
    person.shop = None
    person.save()
    booking, yard = factories.Booking(machine=machine), factories.Yard(name="Far yard")
    page = send(client, "move", yard=yard.pk)
    assert "Say what becomes of this booking" in words(page)
    page = send(client, "move", yard=yard.pk, **{f"booking_{booking.pk}": "keep"})
    assert "MX-02 lives at Far yard now" in words(page)


def test_retiring_asks_of_each_booking_and_offers_what_may_go(client, machine):
    other = factories.Machine(tag="MX-03", yard=machine.yard, makeup=machine.makeup)
    consequences.MachineState(machine=other)
    booking = factories.Booking(machine=machine)
    page = client.get(reverse("machine-retire", args=["MX-02"]))
    assert "Alder Creek fencing, Thu 5 Mar to Sun 8 Mar" in words(page)
    assert "Give it MX-03" in words(page)
    assert "Say what becomes" in words(send(client, "retire", day=TODAY))
    page = send(client, "retire", day=TODAY, **{f"booking_{booking.pk}": other.pk})
    assert answer(page).startswith("Retired Mon 2 Mar")
    booking.refresh_from_db()
    assert booking.machine == other


def test_a_promise_of_a_retired_machine_stays_before_the_desk(client, machine):
    booking = factories.Booking(machine=machine, first_day=TODAY)
    send(client, "retire", day=TODAY, **{f"booking_{booking.pk}": "keep"})
    refresh({machine.pk}, factories.NOON)
    sign_in(client, "desk", machine.yard.shop)
    for page in ("counter", "counter-calendar"):
        shown = words(client.get(reverse(page)))
        assert "MX-02" in shown
        assert "Alder Creek fencing" in shown
    assert "retired" in words(client.get(reverse("counter-calendar")))
    assert "it is retired from Mon 2 Mar" in words(client.get(reverse("counter")))


def test_the_desk_answers_for_the_bookings_of_a_held_machine(client, machine):
    factories.Hold(machine=machine)
    booking = factories.Booking(machine=machine)
    sign_in(client, "desk", machine.yard.shop)
    page = client.get(reverse("machine-bookings", args=["MX-02"]))
    assert answer(page) == "1 booking to come: say what becomes of each."
    address = reverse("machine-bookings", args=["MX-02"])
    client.post(address, {"reason": "held", f"booking_{booking.pk}": "off"})
    booking.refresh_from_db()
    assert booking.cancelled_at is not None


def test_a_retired_machine_is_brought_back(client, machine):
    send(client, "retire", day=TODAY)
    assert "Bring back" in words(client.get(machine.get_absolute_url()))
    assert "MX-02 works again" in words(send(client, "back"))


def test_two_entries_of_one_machine_are_merged(client, machine):
    factories.Machine(tag="MX02", yard=machine.yard, makeup=machine.makeup)
    page = send(client, "merge", other="mx02")
    assert "Their serials differ" in words(page)
    assert 'type="checkbox" name="sure"' in page.text
    page = send(client, "merge", other="mx02", sure="on")
    assert "MX02 and MX-02 are one machine now" in words(page)
    assert client.get(reverse("machine", args=["MX02"])).headers["Location"] == (
        reverse("machine", args=["MX-02"])
    )


def test_a_tag_of_nobody_is_said(client, machine):
    assert "No machine “Q-99” stands in your yards" in words(send(client, "merge", other="Q-99"))


@pytest.mark.parametrize("page", ["rename", "move", "retire", "back", "merge"])
def test_only_managers_change_a_machines_life(client, machine, page):
    sign_in(client, "desk", machine.yard.shop)
    assert client.get(reverse(f"machine-{page}", args=["MX-02"])).status_code == 403
    assert "Rename" not in words(client.get(machine.get_absolute_url()))
    sign_in(client)  # a manager of another shop
    assert client.get(reverse(f"machine-{page}", args=["MX-02"])).status_code == 404
    client.logout()
    assert client.get(reverse(f"machine-{page}", args=["MX-02"])).status_code == 302


@pytest.mark.parametrize("number", [1, 6])
def test_the_number_of_queries_does_not_grow(client, machine, number, django_assert_num_queries):
    for week in range(number):
        factories.Booking(
            machine=machine, first_day=TODAY.replace(day=4 + 2 * week),
            last_day=TODAY.replace(day=5 + 2 * week),
        )  # fmt: skip
        other = factories.Machine(yard=machine.yard, makeup=machine.makeup)
        consequences.MachineState(machine=other)
    with django_assert_num_queries(12):
        client.get(reverse("machine-retire", args=["MX-02"]))


def test_a_merged_entry_is_no_machine_of_its_own(client, machine):
    gone = factories.Machine(tag="MX02", yard=machine.yard, serial="", makeup=machine.makeup)
    send(client, "merge", other="MX02")
    assert Machine.objects.get(pk=gone.pk).merged_into == machine
    send(client, "back", tag="MX02")
    assert Machine.objects.get(pk=gone.pk).retired_on == TODAY
