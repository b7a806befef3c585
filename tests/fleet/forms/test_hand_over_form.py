"""The form of a hand-over: meters in the yard's units, points of the walk round."""

import pytest

from fleet.actions.hand_over import WALK_ROUND
from fleet.forms.hand_over_form import HandOverForm
from fleet.models import Machine, Meter, Yard
from fleet.queries.dials import Dial
from fleet.queries.judge_readings import NewReading, ReadingRefused
from fleet.refusal import Refusal
from fleet.validation import ReadingAnswer, ReadingReason, ReadingVerdict
from fleet.walk_round_library import general_points
from tests.factories import NOON

DIALS = [
    Dial(Meter(kind="hours"), Yard(units="us")),
    Dial(Meter(kind="distance"), Yard(units="us")),
]
TYPED = {
    "form_key": "k",
    "reading_hours": "110",
    "reading_distance": "10 mi",
    **{f"point_{n}": "yes" for n in range(len(WALK_ROUND))},
}


def form(**more):
    filled = HandOverForm(TYPED | more, dials=DIALS)
    filled.is_valid()
    return filled


def test_readings_are_read_in_stored_units():
    hours, far = form().readings()
    assert (hours.kind, hours.value) == ("hours", 110.0)
    assert far.value == pytest.approx(16093.44)  # ten miles of 1,609.344 m (NIST SP 811)


def test_a_meter_that_cannot_be_read_needs_no_value():
    filled = form(reading_hours="", unread_hours="on")
    assert filled.is_valid()
    assert filled.unread() == ["hours"]
    assert [one.kind for one in filled.readings()] == ["distance"]


def test_points_are_in_order_or_not_or_left_away():
    points = form(point_0="no", point_1="none").points()
    assert points[WALK_ROUND[0]] is False
    assert WALK_ROUND[1] not in points
    assert points[WALK_ROUND[2]] is True


SAFE = [n for n, point in enumerate(general_points()) if point.safety]
OTHERS = [n for n, point in enumerate(general_points()) if not point.safety]
OPEN = {f"point_{n}": "" for n in OTHERS}


def test_one_press_says_of_the_points_left_open_that_they_are_in_order():
    filled = form(**OPEN | {f"point_{OTHERS[0]}": "no"}, rest="on")
    assert filled.is_valid()
    points = filled.points()
    assert points.pop(WALK_ROUND[OTHERS[0]]) is False
    assert set(points.values()) == {True}
    assert len(points) == len(WALK_ROUND) - 1


def test_a_point_for_safety_is_asked_for_by_itself_all_the_same():
    filled = form(**OPEN, rest="on", **{f"point_{SAFE[0]}": ""})
    assert set(filled.errors) == {f"point_{SAFE[0]}"}
    assert WALK_ROUND[SAFE[0]] not in filled.points()


def test_without_that_press_each_point_is_asked_for():
    assert set(form(**OPEN).errors) == set(OPEN)


def test_what_is_not_safe_is_known_though_the_form_has_faults():
    assert form(unsafe="on", unsafe_text=" brakes ", point_0="").unsafe_said() == "brakes"
    assert form(unsafe_text="brakes").unsafe_said() == ""


def test_a_refused_reading_shows_the_choices_of_the_door():
    new = NewReading(machine=Machine(), kind="hours", value=110.0, read_at=NOON)
    choices = (ReadingAnswer.MEANT, ReadingAnswer.MISTYPED)
    no = ReadingRefused(
        ReadingVerdict(ReadingReason.SLIPPED_POINT, "was it 11.0 h?", choices, 11.0), new
    )
    no.field = "reading_hours"
    filled = form()
    filled.refuse(no)
    hours, far = filled.dial_fields()
    assert hours.value.errors == ["was it 11.0 h?"]
    assert hours.choices[0] == ("meant", "It shows 11.0 h")
    assert not hours.asks_swap
    assert far.choices == []


def test_an_answer_stays_when_the_form_comes_back_for_another_fault():
    hours, _ = form(answer_hours="swapped", point_0="").dial_fields()
    assert hours.asks_swap
    assert hours.answer == "swapped"


def test_an_answer_that_is_none_is_not_shown():
    hours, _ = form(answer_hours="<b>").dial_fields()
    assert hours.choices == []


def test_a_refusal_without_a_field_stands_above_the_form():
    filled = form()
    filled.refuse(Refusal("The machine is gone."))
    assert filled.non_field_errors() == ["The machine is gone."]
