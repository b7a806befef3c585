"""Tools are named with the size that the manual gives; what it is called at set-up."""

from fleet.models import MakeUpFigure
from fleet.procedures.library import library
from fleet.procedures.sized_tools import sized, sizes_asked

BOTH = "torque wrench, drain plug socket {size}"
MILLIMETRES = {"drain plug socket size": MakeUpFigure(value=17, unit="mm")}


def test_the_size_stands_behind_its_tool():
    assert sized(BOTH, MILLIMETRES) == "torque wrench, drain plug socket 17 mm"
    words = {"drain plug socket size": MakeUpFigure(words="11/16 in, square")}
    assert sized(BOTH, words) == "torque wrench, drain plug socket 11/16 in, square"


def test_a_size_that_nobody_told_is_looked_up_in_the_manual():
    assert sized(BOTH, {}) == "torque wrench, drain plug socket (size from the manual)"


def test_a_tool_without_a_size_stays_as_it_is():
    assert sized("feeler gauge", MILLIMETRES) == "feeler gauge"


def test_set_up_asks_for_the_size_by_the_name_of_its_tool():
    assert sizes_asked(BOTH) == ["drain plug socket size"]
    assert sizes_asked("feeler gauge") == []


def test_no_tool_of_the_library_has_a_size_that_one_make_up_alone_has():
    tools = {step.tool for kind in library() for one in kind.procedures for step in one.steps}
    assert not [one for one in tools if any(sign.isdigit() for sign in one)]
    assert sum("{size}" in one for one in tools) >= 8
