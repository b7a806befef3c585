"""Changes are kept as rows and read back; what is no change is refused."""

import json

import pytest

from scheduling.trial.changes import WHAT, DayClosed, MoreOvertime, kept, read
from tests.factories import TODAY
from tests.scheduling.trial.every_change import EVERY


def test_every_kind_is_tried_here():
    assert {type(change) for change in EVERY} == set(WHAT.values())


@pytest.mark.parametrize("change", EVERY, ids=lambda change: type(change).__name__)
def test_a_change_comes_back_the_same(change):
    assert read(json.loads(json.dumps(kept(change)))) == change


def test_a_row_says_what_it_is():
    row = kept(DayClosed(TODAY, "fair"))
    assert row == {"what": "closed", "day": "2026-03-02", "reason": "fair"}


@pytest.mark.parametrize(
    "row",
    [
        {}, [], "closed", {"what": "moon"}, {"what": "closed"}, {"what": "closed", "day": "x"},
        {**kept(MoreOvertime(TODAY, 2.0)), "hours": "two"},
    ],
)  # fmt: skip
def test_what_is_no_change_is_refused(row):
    with pytest.raises(ValueError, match=r"change|closed|overtime"):
        read(row)
