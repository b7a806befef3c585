"""What a hand-over writes down beside the meters, on the form, the booking and the slip."""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.actions.fill_walk_rounds import fill_kit
from fleet.models import Accessory, HandOver
from scheduling.models import Notice
from tests import factories
from tests.factories import NOON
from tests.scheduling.counter_case import FINE, open_counter

pytestmark = pytest.mark.django_db
SIGNED = "M10 20 L30 40 L50 60 M70 80 L90 100 "


@pytest.fixture
def case(client, monkeypatch):
    case = open_counter(client, monkeypatch)
    fill_kit(case.machine.makeup.machine_class)
    return case


@pytest.fixture
def send(client):
    def sent(page, booking, **more):
        typed = {"form_key": "k1", "reading_hours": "110", "fuel": "8", **FINE}
        return client.post(reverse(page, args=[booking.pk]), typed | more)

    return sent


@pytest.fixture
def gone(case, send):
    booking = case.booking()
    send(
        "check-out", booking, goes_0="on", goes_1="on", taken_by="Ira Fell", signature=SIGNED,
        use_said="fencing", hours_a_day="8",
    )  # fmt: skip
    return booking


@pytest.fixture
def tomorrow(gone, monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON + timedelta(days=1))


@pytest.fixture
def returned(gone, send, tomorrow):
    more = {"reading_hours": "130", "fuel": "5", "goes_0": "on", "point_2": "no"}
    send("check-in", gone, form_key="k2", **more)
    return gone


def test_a_hand_over_keeps_what_was_written_down(gone):
    row = HandOver.objects.get()
    assert row.level == 1.0
    assert row.accessories == {"keys": True, "helmet": True, "manual": False}
    assert (row.taken_by, row.use_said, row.hours_a_day) == ("Ira Fell", "fencing", 8.0)
    assert row.signature == SIGNED.strip()


@pytest.mark.parametrize(
    "drawn",
    [
        '"><script>alert(1)</script>',  # not strokes
        "M10 20 L30 40 Z",  # another order of SVG
        "M1000 20 L30 40",  # off the sheet
        "M10 20 " + "L30 40 " * 4000,  # too long
    ],
)
def test_a_signature_is_strokes_and_nothing_else(case, send, drawn):
    text = send("check-out", case.booking(), signature=drawn).content.decode()
    assert "That signature cannot be read" in text or "at most" in text
    assert not HandOver.objects.exists()


def test_a_trailer_is_not_asked_for_fuel(case, client):
    machine_class = case.machine.makeup.machine_class
    machine_class.runs_on = "none"
    machine_class.save()
    text = client.get(reverse("check-out", args=[case.booking().pk])).content.decode()
    assert "Fuel in the tank" not in text


def test_the_return_asks_for_what_went_along_and_stands_beside_the_check_out(gone, client):
    Accessory.objects.create(machine_class=gone.machine.makeup.machine_class, words="late thing")
    text = client.get(reverse("check-in", args=[gone.pk])).content.decode()
    assert text.count("At check-out: in order") == 8
    assert "helmet" in text
    assert "late thing" not in text  # it did not go out


def test_what_differs_and_how_it_was_used_is_said(returned, client):
    text = client.get(reverse("booking", args=[returned.pk])).content.decode()
    for said in (
        "Lights, horn and alarms work: in order at check-out, not in order at return.",
        "Did not come back: helmet.",
        "Went out full, came back 5/8 full.",
        "Used 20.0 h in 2 days, 10.0 h a day; 8 h a day were spoken of.",
    ):
        assert said in text, said


def test_the_slip_says_all_that_is_signed(gone, client):
    row = HandOver.objects.get()
    text = client.get(reverse("slip", args=[row.pk])).content.decode()
    for said in (row.booking.machine.serial, "110.0 h", "Ira Fell", "fencing", "full", "Helmet on",
                 SIGNED.strip(), "not taken", "Brakes and steering work"):  # fmt: skip
        assert said in text, said


def test_a_paper_that_is_kept_says_its_years_and_the_hours_that_are_booked(gone, client):
    type(gone).objects.filter(pk=gone.pk).update(from_time="12:00", to_time="17:30")
    text = client.get(reverse("slip", args=[HandOver.objects.get().pk])).content.decode()
    assert "Mon 2 Mar 2026, 12:00, to Sun 8 Mar 2026, 17:30" in text
    assert "Mon 2 Mar 2026, 12:00, Y" in text.replace(f"{gone.machine.yard}", "Y")


def test_the_slip_is_a_file_too(gone, client, monkeypatch):
    monkeypatch.setattr("reportlab.rl_config.pageCompression", 0)  # so that its words are seen
    answer = client.get(reverse("slip-pdf", args=[HandOver.objects.get().pk]))
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF-")
    assert b"own manual, local codes and licensed practice come first" in answer.content


def test_a_slip_of_another_shop_is_not_shown(gone, client):
    client.force_login(factories.Person(role="desk"))
    assert client.get(reverse("slip", args=[HandOver.objects.get().pk])).status_code == 404


def test_brakes_that_failed_at_return_are_told_at_once(
    gone, send, case, client, tomorrow, django_capture_on_commit_callbacks
):
    """Mechanic and manager have a letter on the hold; none says that the machine is out."""
    shop = case.desk.shop
    told = {factories.Person(shop=shop, role=role).pk for role in ("manager", "mechanic")}
    with django_capture_on_commit_callbacks(execute=True):
        send("check-in", gone, form_key="k2", reading_hours="112", point_1="no")
    letters = Notice.objects.filter(kind=Notice.Kind.HELD)
    assert told <= set(letters.values_list("person", flat=True))
    assert not Notice.objects.filter(subject__contains="and out").exists()
    text = client.get(reverse("booking", args=[gone.pk])).content.decode()
    assert "It is held: At return, not in order: brakes and steering work." in text


def test_a_point_that_was_not_looked_at_before_is_said_too(gone, send, client, tomorrow):
    HandOver.objects.update(walk_round={})
    send("check-in", gone, form_key="k2", reading_hours="112", point_2="no")
    text = client.get(reverse("booking", args=[gone.pk])).content.decode()
    assert "not in order at return, not looked at at check-out." in text
