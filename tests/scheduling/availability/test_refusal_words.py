"""How a refusal is told."""

import pytest

from scheduling.availability.objections import Cause, Objection
from scheduling.availability.refusal_words import say_objection, say_until, say_why
from tests.factories import TODAY
from tests.scheduling.availability.known import day, point, service


@pytest.mark.parametrize(
    ("cause", "until", "said"),
    [
        (Cause.HELD, None, "Until it is released"),
        (Cause.OUT, None, "Until it is back"),
        (Cause.RETIRED, None, "For good"),
        (Cause.OVERDUE, None, "Until the work is done; no shop day is planned for it yet"),
        (Cause.OVERDUE, 3, "Until the work is done, planned for Thu 5 Mar, in 3 days"),
        (Cause.PROMISED, 3, "Until Thu 5 Mar, in 3 days"),
        (Cause.UNKNOWN, None, "Until that is known"),
    ],
)
def test_until_when(cause, until, said):
    one = Objection(cause, None if until is None else day(until))
    assert say_until([one], TODAY) == said


def test_what_has_no_end_outlasts_what_has():
    both = [Objection(Cause.PROMISED, day(3)), Objection(Cause.OVERDUE)]
    assert say_until(both, TODAY).startswith("Until the work is done")


def test_reasons_are_joined_and_one_more_is_counted():
    ones = [Objection(Cause.DUE, point=point(service=service(name)), day=TODAY) for name in "abc"]
    assert say_why(ones, TODAY).words == "a is due now; b is due now; and 1 more reason"


def test_our_own_words_have_a_capital_at_the_head_and_names_stay_as_they_are():
    ours = Objection(Cause.RETIRED, day=day(3))
    theirs = Objection(Cause.DUE, point=point(service=service("ePump: check")), day=TODAY)
    assert say_objection(ours, TODAY).head == "It is retired from Thu 5 Mar"
    assert say_objection(theirs, TODAY).head == "ePump: check is due now"
