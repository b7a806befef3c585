"""Times of going out and coming back are read as they are said."""

from datetime import time

import pytest
from django.core.exceptions import ValidationError

from fleet.forms.booked_clock_field import BookedClockField


@pytest.mark.parametrize(
    ("written", "at"),
    [
        ("", None), ("whole day", None), ("midnight", None), ("half day", time(12)),
        ("noon", time(12)), ("from 7:30", time(7, 30)), ("5:00 pm", time(17)),
        ("until 5 p.m.", time(17)), ("17.00", time(17)), ("1700", time(17)), ("12 am", time(0)),
    ],
)  # fmt: skip
def test_times_are_read_as_they_are_said(written, at):
    assert BookedClockField("Time").clean(written) == at


@pytest.mark.parametrize("written", ["25:00", "13 pm", "soon", "7:75", "\x00", "7:30 7:30"])
def test_what_is_no_time_is_refused_in_a_sentence(written):
    with pytest.raises(ValidationError):
        BookedClockField("Time").clean(written)
