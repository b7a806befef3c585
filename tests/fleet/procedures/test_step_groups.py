"""A long procedure is read a heading at a time, in the order in which it is done."""

from collections import Counter
from itertools import pairwise

from fleet.procedures.library import library, procedure_called
from fleet.procedures.step_groups import FEW, headings, in_groups

EVERY = [one for kind in library() for one in kind.procedures]


COLD_AND_WARM = {("Battery and wiring",), ("Engine and cooling",), ("Fuel and idle",)}
"""What is looked at before the engine runs, and again once it has."""


def keys_of(code):
    found = procedure_called(code)
    return [step.key for step in found.steps]


def test_each_heading_is_of_steps_that_the_library_has():
    assert set(headings()) <= {step.key for one in EVERY for step in one.steps}


def test_all_steps_stand_in_a_group_once_and_in_order():
    for one in EVERY:
        spans = in_groups(step.key for step in one.steps)
        assert [span.start for span in spans] == [0, *(span.end for span in spans[:-1])], one.code
        assert spans[-1].end == len(one.steps)
        assert all(span.titles and all(span.titles) for span in spans), one.code


def test_headings_with_few_steps_stand_together():
    for one in EVERY:
        later = in_groups(step.key for step in one.steps)[1:]
        small = [span.count < FEW for span in later]
        assert (True, True) not in pairwise(small), one.code


def test_the_yearly_service_of_a_quad_is_read_in_its_parts():
    said = [(span.titles, span.count) for span in in_groups(keys_of("quad-yearly"))]
    assert said[:2] == [(("Before you begin",), 2), (("Battery and wiring",), 3)]
    assert (("Oil and filters",), 10) in said
    assert (("Brakes",), 5) in said
    assert said[-1] == (("To finish",), 4)
    twice = {
        titles for titles, number in Counter(titles for titles, _ in said).items() if number > 1
    }
    assert twice <= COLD_AND_WARM


def test_a_step_of_the_shops_own_stays_with_the_one_before_it():
    plain = in_groups(["front-lining", "rear-lining", "rear-brake", "toe", "tie-rods", "steering"])
    own = in_groups(["front-lining", "rear-lining", "own-1a2b", "rear-brake", "toe", "tie-rods",
                     "steering"])  # fmt: skip
    assert [span.count for span in plain] == [3, 3]
    assert [span.count for span in own] == [4, 3]
    assert [span.titles for span in own] == [span.titles for span in plain]


def test_steps_that_no_heading_knows_make_one_group_and_none_make_none():
    assert [(span.titles, span.count) for span in in_groups(["a", "b"])] == [(("",), 2)]
    assert in_groups([]) == []
