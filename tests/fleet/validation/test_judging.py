"""One reading against the clock and the meter's history; no database."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.models import MeterKind
from fleet.quantities import KILOMETRE, MILE
from fleet.validation import Face, MeterHistory, ReadingReason, Seen, ShownReading, judge

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)  # a Monday
NOW = NOON + timedelta(days=30)
HOURS = Face(MeterKind.HOURS)
MILES = Face(MeterKind.DISTANCE, MILE)
KILOMETRES = Face(MeterKind.DISTANCE, KILOMETRE)
CYCLES = Face(MeterKind.CYCLES)


def history(*steps: tuple[float, float]) -> MeterHistory:
    """Readings as (days from noon, value)."""
    return MeterHistory([Seen(NOON + timedelta(days=day), value) for day, value in steps])


def verdict(value: float, day: float, face: Face, *steps: tuple[float, float]) -> ReadingReason:
    return judge(ShownReading(value, NOON + timedelta(days=day)), face, history(*steps), NOW).reason


@pytest.mark.parametrize(
    ("value", "day", "face", "steps", "reason"),
    [
        (412.0, 0, HOURS, (), ReadingReason.FINE),  # the first reading of all
        (412.0, 7, HOURS, [(0, 400.0)], ReadingReason.FINE),
        (400.0, 7, HOURS, [(0, 400.0)], ReadingReason.FINE),  # it stood
        (399.9, 7, HOURS, [(0, 400.0)], ReadingReason.FINE),  # two people rounding
        (214.0, 7, HOURS, [(0, 412.0)], ReadingReason.BACKWARDS),
        (
            405.0,
            7,
            HOURS,
            [(0, 400.0), (9, 402.0)],
            ReadingReason.BACKWARDS,
        ),  # against the next one
        (424.0, 1, HOURS, [(0, 400.0)], ReadingReason.FINE),  # round the clock
        (425.0, 1, HOURS, [(0, 400.0)], ReadingReason.TOO_MUCH),  # a 25 h day
        (400.0, 8, HOURS, [(0, 400.0), (9, 430.0)], ReadingReason.TOO_MUCH),  # 30 h the next day
        (20_000 * MILE, 1, MILES, [(0, 1_000 * MILE)], ReadingReason.OUTRAN),  # 792 mph
        (1_700 * KILOMETRE, 1, KILOMETRES, [(0, 200 * KILOMETRE)], ReadingReason.OUTRAN),
        (90_000, 1 / 24, CYCLES, [(0, 0)], ReadingReason.OUTRAN),  # 25 a second
        (4130.0, 7, HOURS, [(-7, 400.0), (0, 412.0)], ReadingReason.SLIPPED_POINT),  # meant 413.0
        (41.3, 7, HOURS, [(-7, 400.0), (0, 412.0)], ReadingReason.SLIPPED_POINT),  # meant 413.0
        (413.0 * 60, 7, HOURS, [(0, 412.0)], ReadingReason.WRONG_UNIT),  # minutes
        (
            10_100 * KILOMETRE,
            7,
            KILOMETRES,
            [(0, 16_200 * KILOMETRE)],
            ReadingReason.WRONG_UNIT,
        ),  # miles
        (412.0, 31, HOURS, [(0, 400.0)], ReadingReason.FUTURE),
        (412.0, 0, HOURS, [(0, 412.0)], ReadingReason.DUPLICATE),
        (413.0, 0, HOURS, [(0, 412.0)], ReadingReason.SAME_TIME),
        (float("nan"), 0, HOURS, (), ReadingReason.NOT_A_NUMBER),
        (float("inf"), 0, HOURS, (), ReadingReason.NOT_A_NUMBER),
        (-1.0, 0, HOURS, (), ReadingReason.NOT_A_NUMBER),
    ],
)
def test_each_kind_of_bad_reading_is_named(value, day, face, steps, reason):
    assert verdict(value, day, face, *steps) is reason


def test_kilometres_typed_in_a_mile_yard_are_told_by_the_machines_own_use():
    """16,415 km is 10,200 mi; 916 mi a day could be driven, but this machine does 30."""
    steps = [(-28, 9_100), (-21, 9_320), (-14, 9_550), (-7, 9_780), (0, 10_000)]
    seen = history(*((day, miles * MILE) for day, miles in steps))
    fault = judge(ShownReading(16_415 * MILE, NOON + timedelta(days=7)), MILES, seen, NOW)
    assert fault.reason is ReadingReason.WRONG_UNIT
    assert fault.meant == pytest.approx(16_415 * KILOMETRE)


def test_a_busy_week_after_a_quiet_month_is_not_asked_about():
    """Haying: ten hours a day on a machine that stood for weeks."""
    steps = [(-28, 500.0), (-21, 500.5), (-14, 501.0), (-7, 501.2), (0, 501.5)]
    assert verdict(571.5, 7, HOURS, *steps) is ReadingReason.FINE


def test_a_value_that_was_corrected_is_known():
    """A file that is read again must not bring a mended typing error back."""
    seen = history((-1, 400.0), (0, 421.0))
    seen.corrected.add((NOON, 412.0))
    assert judge(ShownReading(412.0, NOON), HOURS, seen, NOW).reason is ReadingReason.DUPLICATE


def test_a_day_without_time_grants_half_a_day():
    day = (NOON - timedelta(hours=12), NOON + timedelta(hours=12))
    seen = history((-1, 400.0))
    assert judge(ShownReading(435.0, NOON, day), HOURS, seen, NOW).reason is ReadingReason.FINE
    assert judge(ShownReading(437.0, NOON, day), HOURS, seen, NOW).reason is ReadingReason.TOO_MUCH


def test_a_day_without_time_is_known_by_its_day_and_value():
    day = (NOON - timedelta(hours=12), NOON + timedelta(hours=12))
    seen = MeterHistory([Seen(NOON + timedelta(hours=4), 400.0)])
    assert judge(ShownReading(400.0, NOON, day), HOURS, seen, NOW).reason is ReadingReason.DUPLICATE


@pytest.mark.parametrize(
    ("before", "rolls_over_at", "top"),
    [
        (9_990.0, None, 10_000.0),  # near a round number
        (9_990.0, 9_999.9, 9_999.9),  # as the make-up says
        (5_000.0, None, None),  # nowhere near
        (412.0, 9_999.9, None),  # rolls over, but it cannot have come so far
    ],
)
def test_a_rollover_is_offered_where_one_can_be(before, rolls_over_at, top):
    face = Face(MeterKind.HOURS, rolls_over_at=rolls_over_at)
    fault = judge(ShownReading(4.0, NOON + timedelta(days=7)), face, history((0, before)), NOW)
    assert fault.reason is ReadingReason.BACKWARDS
    assert fault.rolls_over_at == top


@given(
    st.lists(st.tuples(st.floats(0, 24), st.floats(0, 1)), min_size=1, max_size=30),
    st.floats(0, 5000),
)
def test_a_meter_that_follows_the_clock_is_never_asked_about(days, start):
    """Whatever share of the time since the last reading a machine ran, it can be so.

    Readings a day apart or more from zero on; a new machine may run in a day ten times what it ran
    before, so those whose tenth would fit as well are left out.
    """
    seen, at, value = [Seen(NOON - timedelta(days=900), start)], NOON - timedelta(days=900), start
    for gap, share in days:
        elapsed = timedelta(hours=24 + gap)
        at, value = at + elapsed, value + share * elapsed / timedelta(hours=1)
        fault = judge(ShownReading(value, at), HOURS, MeterHistory(list(seen)), NOW)
        assert fault.reason in (
            ReadingReason.FINE,
            ReadingReason.SLIPPED_POINT,
            ReadingReason.WRONG_UNIT,
        )
        if value < 10 * seen[-1].value:
            assert fault.reason is ReadingReason.FINE
        seen.append(Seen(at, value))


@given(st.floats(0, 10_000), st.floats(0.2, 10_000), st.floats(0, 400))
def test_running_backwards_is_always_asked_about(value, back, days):
    shown = ShownReading(value, NOON + timedelta(days=days))
    fault = judge(shown, HOURS, history((0, value + back)), NOW + timedelta(days=400))
    assert fault.reason not in (ReadingReason.FINE, ReadingReason.TOO_MUCH)


def test_a_machine_that_stood_idle_may_be_hired_out_hard():
    """22 h in four days after weeks of nearly nothing: what rental machines do, not a slip."""
    assert verdict(23.2, 19, HOURS, (0, 0.2), (15, 1.1)) is ReadingReason.FINE
