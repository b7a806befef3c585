"""The short form of the pulled plug: one command cut off and given again, and faults are told."""

from dataclasses import replace

import pytest

from tests.benchmarks.plug_commands import Cut, cuts, faults_of, try_cut
from tests.benchmarks.plug_places import Ended, places

LOAD = next(cut for cut in cuts() if cut.name == "load_demo")


@pytest.mark.slow
@pytest.mark.timeout(900)
def test_a_fleet_whose_loading_was_cut_off_is_loaded_whole():
    small = replace(LOAD, words=lambda *_: ["load_demo", "--machines", "1"])
    with places() as there:
        told = try_cut(there, small, 1)
    assert (told.wrong, told.cut + told.ended_before) == ([], 1), told.line()


@pytest.mark.parametrize(
    ("again", "differs", "words"),
    [
        (Ended(2, "There are machines here already.", 1.0), {}, "then status 2: There are"),
        (Ended(0, "98 machines", 1.0), {"fleet_machine": 1}, "rows differ: {'fleet_machine': 1}"),
        (Ended(0, "98 machines", 1.0), {"fleet_key": 2}, "rows differ: {'fleet_key': 2}"),
        (Ended(0, "98 machines", 1.0), {"fleet_key": -1}, "rows differ: {'fleet_key': -1}"),
    ],
    ids=["refused", "doubled", "more than a cut may leave", "lost"],
)
def test_what_is_not_whole_is_told(again, differs, words):
    cut = Cut("a command", LOAD.begin, LOAD.words, more={"fleet_key": 1})
    (said,) = faults_of(cut, again, differs, 3.0)
    assert words in said


def test_what_is_whole_is_no_fault():
    cut = Cut("a command", LOAD.begin, LOAD.words, more={"fleet_key": 1}, none_again="only")
    assert faults_of(cut, Ended(0, "", 1.0), {"fleet_key": 1}, 3.0) == []
    assert faults_of(cut, Ended(2, "into an empty place only", 1.0), {}, 3.0) == []
