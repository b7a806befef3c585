"""The last act undone by one press: once, within ten minutes, and as if it had never been."""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet import models
from fleet.actions.undo_acts import undo_act
from fleet.queries.last_act import last_act
from fleet.refusal import Refusal
from tests.factories import NOON, TODAY
from tests.scheduling.busy_yard import SMALL, busy_yard
from tests.scheduling.counter_case import FINE
from tests.scheduling.site_figures import figures_after

pytestmark = pytest.mark.django_db

MINUTE = timedelta(minutes=1)
SOON = NOON + 9 * MINUTE


def handed(yard, page, hours, key, **more):
    typed = {"form_key": key, "reading_hours": f"{hours}", "reading_distance": "330"}
    typed |= {"reason": "asked for", **FINE}
    return reverse(page, args=[yard.booking.pk]), typed | more


def check_out(yard):
    return handed(yard, "check-out", 104, "out")


def check_out_with_a_fault(yard):
    return handed(yard, "check-out", 104, "out", point_1="no", unread_hours="on")


def not_safe_to_go(yard):
    return handed(yard, "check-out", 104, "out", unsafe="on", unsafe_text="brakes fail")


def finished_job(yard):
    limit = models.Limit.objects.get()
    typed = {
        "form_key": "a" * 32, "reading_hours": "104", "reading_distance": "330",
        "minutes": "50", "note": "done",
        "done": yard.planned("oil", "check"), f"limit_{limit.pk}": "150",
        f"soon_limit_{limit.pk}": "plan",
        "finding": "brakes fail", "gravity": "unsafe",
    }  # fmt: skip
    return f"{reverse('job', args=[yard.machine.tag])}?day={TODAY}", typed


def job_that_measures_what_holds(yard):
    """A value beyond its limit that must not work at all: the hold goes with the entry."""
    address, typed = finished_job(yard)
    limit = models.Limit.objects.get()
    del typed["finding"], typed["gravity"]
    return address, typed | {f"soon_limit_{limit.pk}": "hold"}


def put_off(yard):
    typed = {"done": yard.planned("oil", "check"), "reason": "no filter"}
    return f"{reverse('put-off', args=[yard.machine.tag])}?day={TODAY}", typed


def reading(yard):
    typed = {f"value-{yard.meter.pk}": "104", f"key-{yard.meter.pk}": "k" * 16}
    return reverse("meter-round-line", args=[yard.meter.pk]), typed | {"key": "k" * 16}


def reading_on_a_new_meter(yard):
    """12 h and the meter was swapped: both are undone."""
    address, typed = reading(yard)
    pk = yard.meter.pk
    return address, typed | {f"value-{pk}": "12", f"answer-{pk}": "swapped"}


def check_out_on_a_new_meter(yard):
    return handed(yard, "check-out", 4, "out", answer_hours="swapped", old_last_hours="104")


def count(yard):
    part = models.Part.objects.get(number="OF-1")
    return reverse("shelf-part", args=[part.pk]), {"counted": "7"}


ACTS = [
    check_out, check_out_with_a_fault, not_safe_to_go, finished_job, job_that_measures_what_holds,
    put_off, reading, count,
    reading_on_a_new_meter, check_out_on_a_new_meter,
]  # fmt: skip


@pytest.fixture
def at(client, monkeypatch):
    """Set the clock of the site."""

    def moved(moment):
        monkeypatch.setattr("django.utils.timezone.now", lambda: moment)

    moved(NOON)
    return moved


def person_for(act, yard):
    return (
        yard.mechanic
        if act in {finished_job, job_that_measures_what_holds, put_off, count}
        else yard.desk
    )


def do(client, act, yard):
    client.force_login(person_for(act, yard))
    address, typed = act(yard)
    answer = client.post(address, typed)
    on_the_round = act in {reading, reading_on_a_new_meter}
    assert answer.status_code == (200 if on_the_round else 302), answer.text
    return last_act(person_for(act, yard), NOON + MINUTE)


def only_planned(yard):
    """Plan what some acts plan, so that both sites have it."""
    yard.planned("oil", "check")


def nothing(yard):
    """Do nothing."""


@pytest.mark.parametrize("act", ACTS)
def test_what_was_undone_leaves_no_trace_in_any_figure(client, at, act):
    def story(yard):
        made = do(client, act, yard)
        assert undo_act(made, by=made.by, now=SOON)

    planned = act in {finished_job, job_that_measures_what_holds, put_off}
    found = figures_after(story)
    never = figures_after(only_planned if planned else nothing)
    found["stock"] = {part: left for part, left in found["stock"].items() if left}
    assert {name: found[name] for name in never if found[name] != never[name]} == {}


@pytest.mark.parametrize("act", ACTS)
def test_pressed_twice_it_is_done_once(client, at, act):
    made = do(client, act, busy_yard(SMALL))
    at(SOON)
    address = reverse("undo", args=[made.pk])
    client.post(address)
    changes = models.LoggedChange.objects.count()
    client.post(address)
    assert models.LoggedChange.objects.count() == changes
    made.refresh_from_db()
    assert made.undone_at == SOON


def test_a_return_is_undone_from_the_booking_that_it_ended(client, at):
    yard = busy_yard(SMALL)
    last_day = yard.booking.last_day
    do(client, check_out, yard)
    at(NOON + 60 * MINUTE)
    page, typed = handed(yard, "check-in", 105, "back")
    answer = client.post(page, typed, follow=True)
    assert "Undo the return of Q-1" in answer.text
    at(NOON + 62 * MINUTE)
    made = models.Act.objects.get(what="back")
    answer = client.post(reverse("undo", args=[made.pk]), follow=True)
    assert "The return of Q-1 is undone" in answer.text
    assert "Take back" in answer.text
    yard.booking.refresh_from_db()
    assert yard.booking.last_day == last_day


@pytest.mark.parametrize("act", [reading_on_a_new_meter, check_out_on_a_new_meter])
def test_the_swap_by_which_a_reading_was_answered_is_undone_with_it(client, at, act):
    yard = busy_yard(SMALL)
    made = do(client, act, yard)
    new = models.Meter.objects.get(came_with__isnull=False)
    assert new.kind == yard.meter.kind
    assert undo_act(made, by=made.by, now=SOON)
    new = models.Meter.every.get(pk=new.pk)
    assert new.struck_at == SOON
    yard.meter.refresh_from_db()
    assert (yard.meter.removed_at, yard.meter.last_value) == (None, None)


def test_a_hold_that_was_hung_with_a_return_goes_with_it_and_an_older_one_stays(client, at):
    yard = busy_yard(SMALL)
    do(client, check_out, yard)
    at(NOON + 60 * MINUTE)
    page, typed = handed(yard, "check-in", 105, "back", unsafe="on", unsafe_text="brakes fail")
    client.post(page, typed)
    older = models.Hold.objects.create(
        machine=yard.machine, placed_at=NOON, placed_by=yard.desk, reason="horn is dumb"
    )
    made = models.Act.objects.get(what="back")
    assert undo_act(made, by=yard.desk, now=NOON + 62 * MINUTE)
    assert list(models.Hold.objects.filter(released_at=None)) == [older]


def test_the_counter_the_bench_and_the_machine_offer_it_for_ten_minutes(client, at):
    yard = busy_yard(SMALL)
    do(client, check_out, yard)
    for page in (reverse("counter"), yard.machine.get_absolute_url()):
        assert "Undo the check-out of Q-1" in client.get(page).text
    do(client, put_off, yard)
    assert "Undo the work of Q-1 put off" in client.get(reverse("bench")).text
    at(NOON + 11 * MINUTE)
    assert "Undo the work" not in client.get(reverse("bench")).text


@pytest.mark.parametrize("act", [finished_job, put_off])
def test_pressed_on_the_bench_of_a_day_it_leads_back_to_that_day(client, at, act):
    yard = busy_yard(SMALL)
    made = do(client, act, yard)
    bench, day = reverse("bench"), f"{TODAY + timedelta(days=3)}"
    field = f'<input type="hidden" name="day" value="{day}">'
    assert field in client.get(bench, {"day": day}).text
    assert 'name="day" value' not in client.get(bench).text.split("Undo the")[0]
    answer = client.post(reverse("undo", args=[made.pk]), {"day": day})
    assert answer.headers["Location"] == f"{bench}?day={day}"
    answer = client.post(reverse("undo", args=[made.pk]), {"day": "//else.where"})
    assert answer.headers["Location"] == bench


def test_the_round_the_hold_and_the_finding_offer_it_too(client, at):
    yard = busy_yard(SMALL)
    do(client, reading, yard)
    assert "Undo the reading of Q-1" in client.get(reverse("meter-round")).text
    do(client, check_out_with_a_fault, yard)
    found = models.Finding.objects.latest("pk")
    assert "Undo the hold of Q-1" in client.get(reverse("finding", args=[found.pk])).text
    hold = models.Hold.objects.create(
        machine=yard.machine, placed_at=NOON, placed_by=yard.desk, reason="horn is dumb"
    )
    assert "Undo the hold of Q-1" in client.get(reverse("hold", args=[hold.pk])).text
    at(NOON + 11 * MINUTE)
    assert "Undo the" not in client.get(reverse("finding", args=[found.pk])).text


def test_a_line_of_the_round_offers_it_where_it_stands(client, at):
    yard = busy_yard(SMALL)
    client.force_login(yard.desk)
    address, typed = reading(yard)
    answer = client.post(address, typed, headers={"HX-Request": "true"}).text
    made = models.Act.objects.get()
    assert f'formaction="{reverse("undo", args=[made.pk])}">Undo the reading of Q-1' in answer


def test_after_ten_minutes_it_leads_to_the_correction(client, at):
    yard = busy_yard(SMALL)
    made = do(client, check_out, yard)
    at(NOON + 11 * MINUTE)
    answer = client.post(reverse("undo", args=[made.pk]), follow=True)
    assert "more than ten minutes ago" in answer.text
    assert "Correct the check-out" in answer.text
    assert models.HandOver.objects.filter(booking=yard.booking).exists()


def test_what_was_built_upon_stands(client, at):
    yard = busy_yard(SMALL)
    out = do(client, check_out, yard)
    page, typed = handed(yard, "check-in", 105, "back")
    at(NOON + 60 * MINUTE)
    client.post(page, typed)
    with pytest.raises(Refusal, match="come back since"):
        undo_act(out, by=yard.desk, now=SOON)
    out.refresh_from_db()
    assert out.undone_at is None


def test_nobody_undoes_what_another_did(client, at):
    yard = busy_yard(SMALL)
    made = do(client, check_out, yard)
    client.force_login(yard.mechanic)
    assert client.post(reverse("undo", args=[made.pk])).status_code == 404
    with pytest.raises(Refusal, match="Somebody else"):
        undo_act(made, by=yard.mechanic, now=SOON)


def test_a_booking_made_by_mistake_is_called_off_and_stays_on_record(client, at):
    yard = busy_yard(SMALL)
    yard.booking.delete()
    client.force_login(yard.desk)
    typed = {"first_day": TODAY, "last_day": TODAY, "customer": "Alder Creek", "form_key": "b" * 20}
    address = reverse("counter-book", args=[yard.machine.tag])
    assert (
        "Undo the booking of Q-1 for Alder Creek" in client.post(address, typed, follow=True).text
    )
    made = models.Act.objects.get(what="booking")
    client.post(reverse("undo", args=[made.pk]))
    assert models.Booking.objects.get(customer="Alder Creek").cancelled_at == NOON


def test_a_hold_that_a_measured_value_hung_goes_with_its_entry(client, at):
    made = do(client, job_that_measures_what_holds, busy_yard(SMALL))
    (hold,) = models.Hold.objects.filter(released_at=None)
    assert "below the limit" in hold.reason
    assert undo_act(made, by=made.by, now=SOON)
    hold.refresh_from_db()
    assert hold.released_at == SOON
