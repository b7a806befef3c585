"""A class promised without a machine: as long as one is left; a machine chosen for it later."""

from datetime import time, timedelta

import pytest

from fleet.actions.class_lines import NewClassLine, call_off_line
from fleet.actions.make_bookings import NewBooking, call_off
from fleet.actions.undo_acts import undo_act
from fleet.models import ClassLine, LoggedChange
from fleet.queries.last_act import last_act
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import Decision, book_unless_blocked
from scheduling.actions.promise_classes import (
    call_line_back_in,
    change_class_line,
    choose_machine,
    promise_class,
)
from scheduling.queries.open_classes import choices_for, classes_to_choose, open_lines
from tests import factories as make
from tests.factories import NOON, TODAY
from tests.scheduling.counter_case import LAST, open_counter

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def case(client, monkeypatch):
    return open_counter(client, monkeypatch)


@pytest.fixture
def promise(case):
    hire = make.Hire(customer__name="Two Pines")

    def promised(key="k1", first=TODAY, last=LAST):
        machine = case.machine
        new = NewClassLine(
            hire, machine.makeup.machine_class, machine.yard, first, last, 100, form_key=key
        )
        return promise_class(new, Decision(case.desk, NOON))

    return promised


def test_the_last_one_is_promised_once_and_the_next_is_refused_in_a_sentence(promise):
    assert promise() == promise()  # a form sent twice
    with pytest.raises(Refusal, match=r"none is left in .*; 1 may go, and 1 promised"):
        promise("k2")
    assert ClassLine.objects.count() == 1


def test_a_machine_more_is_one_promise_more(case, promise):
    case.another()
    promise()
    promise("k2")
    with pytest.raises(Refusal, match="2 may go"):
        promise("k3")


def test_one_that_is_booked_or_called_off_counts_no_more(case, promise):
    case.another()
    first = promise()
    call_off_line(first, by=case.desk, now=NOON)
    promise("k2")
    case.booking()
    with pytest.raises(Refusal, match="1 may go"):
        promise("k3")


@pytest.mark.parametrize(
    ("days", "sentence"),
    [((LAST, TODAY), "swap them"), ((TODAY.replace(month=1), LAST), "That day is past")],
)
def test_days_that_cannot_be_are_refused(promise, days, sentence):
    with pytest.raises(Refusal, match=sentence):
        promise("k1", *days)


def test_the_best_machine_is_chosen_by_one_press_and_twice_is_once(case, promise):
    line = promise()
    (best,) = choices_for(line, TODAY)
    decision = Decision(case.desk, NOON)
    booking = choose_machine(line, best.machine, decision)
    assert (booking.hire, booking.value, booking.customer) == (line.hire, 100, "Two Pines")
    assert choose_machine(line, best.machine, decision) == booking
    with pytest.raises(Refusal, match="chosen already"):
        call_off_line(line, by=case.desk, now=NOON)


def test_a_machine_of_another_class_is_refused(case, promise):
    with pytest.raises(Refusal, match="is no Quad"):
        choose_machine(promise(), make.Machine(), Decision(case.desk, NOON))


def test_the_counter_is_told_what_goes_out_without_a_machine(case, promise):
    case.another()
    shops = [case.desk.shop]
    for key in ("k1", "k2"):
        promise(key, first=TODAY.replace(day=3))
    said = classes_to_choose(shops, TODAY).sentence
    assert said == "2 class bookings go out tomorrow without a machine yet."
    assert not classes_to_choose(shops, LAST.replace(day=9)).lines


def right(line, **more):
    said = {name: getattr(line, name) for name in ("machine_class", "yard", "first_day",
                                                   "last_day", "value")}  # fmt: skip
    return NewClassLine(line.hire, **(said | more))


def test_it_opens_again_when_its_machine_is_called_off_and_is_given_another(case, promise):
    decision, other = Decision(case.desk, NOON), case.another()
    line = promise()
    booking = choose_machine(line, case.machine, decision)
    call_off(booking, by=case.desk, now=NOON)
    assert [one.pk for one in open_lines()] == [line.pk]
    again = choose_machine(line, other, decision)
    assert (again.machine, choose_machine(line, case.machine, decision)) == (other, again)
    assert not open_lines().exists()


def test_it_is_changed_as_far_as_one_is_left(case, promise):
    line, decision = promise(), Decision(case.desk, NOON, "a day less")
    line.refresh_from_db()
    shorter = change_class_line(line, right(line, last_day=LAST - DAY), decision)
    assert shorter.last_day == LAST - DAY
    change = LoggedChange.objects.get(kind="class line")
    assert (change.act, change.reason) == ("corrected", "a day less")
    assert change.values == [{"field": "last day", "old": "2026-03-08", "new": "2026-03-07"}]
    make.Booking(machine=case.machine, first_day=LAST, last_day=LAST)
    with pytest.raises(Refusal, match="none is left"):
        change_class_line(line, right(line, last_day=LAST), decision)
    choose_machine(line, case.machine, decision)
    with pytest.raises(Refusal, match="Q-1 is chosen for it"):
        change_class_line(line, right(line, last_day=LAST - 2 * DAY), decision)


def test_called_off_it_is_called_back_in_where_one_is_still_left(case, promise):
    line, decision = promise(), Decision(case.desk, NOON)
    call_off_line(line, by=case.desk, now=NOON)
    assert call_line_back_in(line, decision).cancelled_at is None
    call_off_line(line, by=case.desk, now=NOON)
    case.booking()
    with pytest.raises(Refusal, match="none is left"):
        call_line_back_in(line, decision)


def test_one_press_takes_a_promise_back(case, promise):
    line = promise()
    act = last_act(case.desk, NOON)
    assert act.words == "the booking of any Quad for Two Pines"
    undo_act(act, by=case.desk, now=NOON)
    line.refresh_from_db()
    assert line.cancelled_at == NOON


def test_the_last_machine_is_booked_past_a_promise_with_a_reason_alone(case, promise):
    promise()
    new = NewBooking(case.machine, TODAY, LAST, "Alder Creek", form_key="b1")
    with pytest.raises(Refusal, match=r"1 of this class is promised .*; none is left") as no:
        book_unless_blocked(new, Decision(case.desk, NOON))
    assert no.value.field == "reason"
    booking = book_unless_blocked(new, Decision(case.desk, NOON, "they pay the whole season"))
    assert "promised without a machine" in booking.overrides.get().against


def test_where_more_are_left_a_booking_needs_no_reason(case, promise):
    case.another()
    promise()
    new = NewBooking(case.machine, TODAY, LAST, "Alder Creek", form_key="b1")
    assert book_unless_blocked(new, Decision(case.desk, NOON)).overrides.count() == 0


class TestByTheHour:
    """The morning and the afternoon of a day are two promises of one machine."""

    @pytest.fixture
    def half(self, case, promise):
        hire = make.Hire(customer__name="Two Pines")

        def promised(key, from_time, to_time, day=LAST):
            machine = case.machine
            new = NewClassLine(
                hire, machine.makeup.machine_class, machine.yard, day, day, 100, key,
                from_time, to_time,
            )  # fmt: skip
            return promise_class(new, Decision(case.desk, NOON))

        return promised

    def test_one_machine_does_for_both_halves_and_no_more(self, half, promise):
        half("k1", time(8), time(12))
        half("k2", time(13), time(17))
        with pytest.raises(Refusal, match="none is left"):
            half("k3", time(11), time(14))
        with pytest.raises(Refusal, match="none is left"):
            promise("k4", LAST, LAST)

    def test_the_turn_round_of_the_class_is_kept_between_them(self, case, half):
        of = case.machine.makeup.machine_class
        of.turn_round_minutes = 90
        of.save()
        half("k1", time(8), time(12))
        with pytest.raises(Refusal, match="none is left"):
            half("k2", time(13), time(17))
        half("k3", time(13, 30), time(17))

    def test_the_machine_that_is_chosen_is_booked_by_the_hour(self, case, half):
        line = half("k1", time(8), time(12))
        booking = choose_machine(line, case.machine, Decision(case.desk, NOON))
        assert (booking.from_time, booking.to_time) == (time(8), time(12))
        assert (booking.starts_at.hour, booking.ends_at.hour) == (8, 12)

    def test_other_times_are_asked_about_and_kept_in_the_log(self, case, half):
        line = half("k1", time(8), time(12))
        half("k2", time(13), time(17))
        line.refresh_from_db()
        decision = Decision(case.desk, NOON)
        with pytest.raises(Refusal, match="none is left"):
            change_class_line(line, right(line, from_time=time(8), to_time=time(14)), decision)
        with pytest.raises(Refusal, match="look at the times"):
            change_class_line(line, right(line, from_time=time(12), to_time=time(8)), decision)
        line = change_class_line(line, right(line, from_time=time(9), to_time=time(12)), decision)
        assert line.from_time == time(9)
        logged = LoggedChange.objects.filter(act="corrected").get()
        assert [one["field"] for one in logged.values] == ["from time"]

    def test_one_whose_time_is_past_is_given_no_machine(self, case, half):
        line = half("k1", time(8), time(11), TODAY)
        with pytest.raises(Refusal, match="past"):
            choose_machine(line, case.machine, Decision(case.desk, NOON))
