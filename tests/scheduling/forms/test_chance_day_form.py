"""The day for which chances are asked.  Today is Monday 2 March 2026."""

from datetime import date

import pytest

from scheduling.forms.chance_day_form import ChanceDay
from tests.factories import TODAY


@pytest.mark.parametrize(
    ("typed", "chosen"),
    [
        ("2026-03-02", TODAY),
        ("2026-06-30", date(2026, 6, 30)),  # 120 days ahead
        ("", None),
    ],
)
def test_a_day_within_120_days_may_be_asked_for(typed, chosen):
    form = ChanceDay({"by": typed}, TODAY)
    assert form.chosen() == chosen
    assert not form.errors


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("2026-03-01", "from today to Tue 30 Jun"),
        ("2026-07-01", "more than 120 days ahead"),
        ("soon", "as 2026-03-31"),
        ("9999-99-99", "as 2026-03-31"),
    ],
)
def test_another_day_is_refused_with_a_sentence(typed, words):
    form = ChanceDay({"by": typed}, TODAY)
    assert form.chosen() is None
    assert words in form.errors["by"][0]


def test_nothing_asked_nothing_said():
    form = ChanceDay(None, TODAY)
    assert form.chosen() is None
    assert not form.errors
    assert form.fields["by"].widget.attrs["max"] == "2026-06-30"
