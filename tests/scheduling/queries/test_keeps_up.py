"""One sentence on whether a shop keeps up."""

import pytest

from scheduling.models import Plan
from scheduling.queries.keeps_up import KEEPS_UP, keeps_up


@pytest.mark.parametrize(
    ("late", "put_off", "lost", "said"),
    [
        (0, 0, 0, KEEPS_UP),
        (None, None, 0, ""),
        (1, 0, 0, "The shop does not keep up: 1 piece of work comes after its due date."),
        (0, 1, 0, "The shop does not keep up: 1 piece of work is put beyond the plan."),
        (
            102, 24, 4,
            "The shop does not keep up: 102 pieces of work come after their due date; 24 are put"
            " beyond the plan; 4 bookings are given up.",
        ),
    ],
)  # fmt: skip
def test_it_counts_what_is_late_put_off_and_given_up(late, put_off, lost, said):
    assert keeps_up(Plan(late_work=late, put_off_work=put_off), lost) == said


def test_without_a_plan_nothing_is_said():
    assert keeps_up(None, 0) == ""
