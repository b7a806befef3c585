"""A class promised without a machine: as long as one is left; a machine chosen for it later."""

import pytest

from fleet.actions.class_lines import NewClassLine, call_off_line
from fleet.models import ClassLine
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import Decision
from scheduling.actions.promise_classes import choose_machine, promise_class
from scheduling.queries.open_classes import choices_for, classes_to_choose
from tests import factories as make
from tests.factories import NOON, TODAY
from tests.scheduling.counter_case import LAST, open_counter

pytestmark = pytest.mark.django_db


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
