"""A plausible reading that the next two contradict."""

from datetime import UTC, datetime, timedelta

import pytest

from fleet.models import MeterKind
from fleet.validation import Face, Seen
from fleet.validation.outvoting import outvoted

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("before", "reading", "later", "expected"),
    [
        (400, 418, [409, 410], True),  # 408 mistyped
        (400, 408, [409, 410], False),
        (400, 418, [409], False),  # one against one: nobody can tell
        (400, 418, [409, 402], False),  # the two do not agree with each other
        (400, 418, [2, 9], False),  # they do not agree with what came before: a swap
        (None, 418, [409, 410], False),  # nothing came before
        (400, 418, [409, 419], False),  # the second fits again
    ],
)
def test_two_later_readings_outvote_one(before, reading, later, expected):
    seen = [Seen(NOON + timedelta(days=i + 2), value) for i, value in enumerate(later)]
    first = None if before is None else Seen(NOON, before)
    here = Seen(NOON + timedelta(days=1), reading)
    assert outvoted(here, first, seen, Face(MeterKind.HOURS)) is expected
