"""What must hold for any interval and any service book."""

import datetime as dt

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from scheduling.core.intervals import (
    AnchorRule,
    CalendarRules,
    MeterRules,
    ServicesDone,
    covering,
    due_points,
    due_states,
)
from tests.properties.scalar_intervals import (
    ScalarLine,
    day_grid,
    due_after,
    meter_grid,
    month_grid,
)

GREGORIAN_CYCLE = 146_097
"""Days in 400 years, after which every date falls as before."""

anchors = st.sampled_from(list(AnchorRule))
quarters = st.integers(0, 4000).map(lambda n: n / 4)  # quarter hours: sums are exact
some_days = st.dates(dt.date(2015, 1, 1), dt.date(2035, 12, 31))
starts_or_not = st.none() | quarters
first_or_not = st.none() | st.just(1)
no_first = st.none()
at_zero = st.just(0.0)


@st.composite
def meter_lines(draw, starts=starts_or_not, firsts=first_or_not):
    every = draw(st.integers(1, 400)) / 4
    first = draw(firsts) and every * draw(st.sampled_from([0.25, 0.5, 2]))
    window = [every * draw(st.sampled_from([0, 0.125, 0.25, 0.75])) for _ in range(2)]
    line = {"every": every, "first_at": first, "early": window[0], "late": window[1]}
    services = draw(st.lists(quarters, max_size=8))
    return line | {"anchor": draw(anchors), "start": draw(starts), "services": services}


@st.composite
def calendar_lines(draw):
    unit = draw(st.sampled_from(["months", "days"]))
    every = draw(st.integers(1, 30))
    first = draw(st.none() | st.integers(1, 40))
    early, late = draw(st.integers(0, 40)), draw(st.integers(0, 40))
    line = {"unit": unit, "every": every, "first": first, "early": early, "late": late}
    more = {"anchor": draw(anchors), "start": draw(st.none() | some_days)}
    services = draw(st.lists(some_days, max_size=8))
    return line | more | {"to_month_end": draw(st.booleans()), "services": services}


def as_floats(values):
    return np.array([np.nan if value is None else value for value in values], dtype=float)


def as_days(values):
    return np.array(["NaT" if value is None else value for value in values], dtype="datetime64[D]")


def column(lines, name):
    return [line[name] for line in lines]


def flat(lines):
    """Index of the line of each service, and the services in one row."""
    index = [place for place, line in enumerate(lines) for _ in line["services"]]
    return np.array(index, dtype=int), [at for line in lines for at in line["services"]]


def meter_points(lines, scale=1.0, order=None):
    lengths = {
        name: as_floats(column(lines, name)) * scale
        for name in ("every", "first_at", "early", "late", "start")
    }
    index, lives = flat(lines)
    services = ServicesDone(index, np.full(len(index), "NaT"), as_floats(lives) * scale)
    if order is not None:
        rank = np.argsort(order)
        services = ServicesDone(rank[services.line], services.day, services.life)
        lengths = {name: values[order] for name, values in lengths.items()}
        lines = [lines[place] for place in order]
    rules = MeterRules(anchor=np.array(column(lines, "anchor"), dtype=int), **lengths)
    return due_points(rules, CalendarRules(months=np.zeros(len(lines))), services)


def calendar_points(lines, shift=0):
    def of(unit, name):
        return [line[name] or 0 if line["unit"] == unit else 0 for line in lines]

    rules = CalendarRules(
        months=of("months", "every"),
        days=of("days", "every"),
        first_months=of("months", "first"),
        first_days=of("days", "first"),
        early=column(lines, "early"),
        late=column(lines, "late"),
        anchor=column(lines, "anchor"),
        start=as_days(column(lines, "start")) + shift,
        end_of_month=column(lines, "to_month_end"),
    )
    index, done = flat(lines)
    services = ServicesDone(index, as_days(done) + shift, np.full(len(index), np.nan))
    return due_points(MeterRules(np.full(len(lines), np.nan)), rules, services)


def scalar_meter(line):
    every, first = line["every"], line["first_at"]
    window = (line["early"], line["late"])
    share = min(first / every, 1) if first else None
    first_window = tuple(side * share for side in window) if first else None
    grid = meter_grid(every, first)
    return ScalarLine(line["anchor"], line["start"], grid, window, first_window)


def scalar_calendar(line):
    every, first = line["every"], line["first"]
    window = tuple(dt.timedelta(line[side]) for side in ("early", "late"))
    first_window = None
    if first:
        shares = (line[side] * min(first, every) // every for side in ("early", "late"))
        first_window = tuple(dt.timedelta(share) for share in shares)
    if line["unit"] == "months":
        grid = month_grid(every, first, line["to_month_end"])
    else:
        grid = day_grid(every, first)
    return ScalarLine(line["anchor"], line["start"], grid, window, first_window)


@given(st.lists(meter_lines(), min_size=1, max_size=6))
def test_the_meter_side_equals_the_scalar_rules(lines):
    points = meter_points(lines)
    expected = [due_after(scalar_meter(line), line["services"]) or (None,) * 3 for line in lines]
    opens, due, closes = (as_floats(side) for side in zip(*expected, strict=True))
    np.testing.assert_allclose(points.opens_life, opens, rtol=0, atol=1e-9)
    np.testing.assert_allclose(points.due_life, due, rtol=0, atol=1e-9)
    np.testing.assert_allclose(points.closes_life, closes, rtol=0, atol=1e-9)


@given(st.lists(calendar_lines(), min_size=1, max_size=6))
def test_the_calendar_side_equals_the_scalar_rules(lines):
    assume(not any(line["to_month_end"] and line["unit"] == "days" for line in lines))
    points = calendar_points(lines)
    expected = [due_after(scalar_calendar(line), line["services"]) or (None,) * 3 for line in lines]
    opens, due, closes = (as_days(side) for side in zip(*expected, strict=True))
    np.testing.assert_array_equal(points.opens_day, opens)
    np.testing.assert_array_equal(points.due_day, due)
    np.testing.assert_array_equal(points.closes_day, closes)


@given(
    st.lists(meter_lines(), min_size=1, max_size=6).flatmap(
        lambda lines: st.tuples(st.just(lines), st.permutations(range(len(lines))))
    )
)
def test_the_order_of_lines_and_services_does_not_matter(case):
    lines, order = case
    np.testing.assert_array_equal(
        meter_points(lines, order=np.array(order)).due_life, meter_points(lines).due_life[order]
    )


@given(meter_lines(), quarters)
@pytest.mark.parametrize("anchor", [AnchorRule.FROM_SERVICE, AnchorRule.FROM_DUE_POINT])
def test_a_later_service_never_gives_an_earlier_due_point(anchor, line, further):
    line = line | {"anchor": anchor}
    assume(line["services"])
    later = line | {"services": [*line["services"], max(line["services"]) + further]}
    points = meter_points([line, later])
    assert points.due_life[1] >= points.due_life[0]


@given(meter_lines(firsts=no_first))
def test_the_due_point_lies_after_the_last_service_by_one_and_a_half_intervals_at_most(line):
    assume(line["services"])
    left = meter_points([line]).due_life[0] - max(line["services"])
    assert 0 < left <= 1.5 * line["every"]


@given(meter_lines(starts=at_zero, firsts=no_first))
def test_a_fixed_grid_stays_on_its_points(line):
    due = meter_points([line | {"anchor": AnchorRule.FROM_DUE_POINT}]).due_life[0]
    assert due % line["every"] == pytest.approx(0, abs=1e-9)


@given(calendar_lines(), st.integers(-4000, 4000))
def test_days_shift_with_the_calendar(line, shift):
    line = line | {"unit": "days", "to_month_end": False}
    moved, here = calendar_points([line], shift), calendar_points([line])
    np.testing.assert_array_equal(moved.due_day, here.due_day + shift)
    np.testing.assert_array_equal(moved.opens_day, here.opens_day + shift)


@given(calendar_lines(), st.sampled_from([-1, 1, 2]))
def test_dates_repeat_after_400_years(line, cycles):
    shift = cycles * GREGORIAN_CYCLE
    moved, here = calendar_points([line], shift), calendar_points([line])
    np.testing.assert_array_equal(moved.due_day, here.due_day + shift)


@given(st.lists(meter_lines(), min_size=1, max_size=4), st.sampled_from([0.5, 4.0, 1024.0]))
def test_another_unit_gives_the_same_points(lines, scale):
    scaled, plain = meter_points(lines, scale), meter_points(lines)
    np.testing.assert_array_equal(scaled.due_life, plain.due_life * scale)
    np.testing.assert_array_equal(scaled.closes_life, plain.closes_life * scale)


@given(meter_lines(), calendar_lines())
def test_the_due_point_lies_in_its_window(on_meter, on_calendar):
    meter, dates = meter_points([on_meter]), calendar_points([on_calendar])
    known = not meter.due_at_once[0]
    assert meter.opens_life[0] <= meter.due_life[0] <= meter.closes_life[0] or not known
    known = not dates.due_at_once[0]
    assert dates.opens_day[0] <= dates.due_day[0] <= dates.closes_day[0] or not known


@given(meter_lines(), st.lists(quarters, min_size=2, max_size=6))
def test_with_more_use_a_state_never_gets_better(line, lives):
    points = meter_points([line] * len(lives))
    states = due_states(points, np.datetime64("2025-01-01"), np.sort(lives))
    assert (np.diff(states) >= 0).all()


@given(calendar_lines(), st.lists(some_days, min_size=2, max_size=6))
def test_as_days_go_by_a_state_never_gets_better(line, when):
    points = calendar_points([line] * len(when))
    states = due_states(points, np.sort(as_days(when)), np.nan)
    assert (np.diff(states) >= 0).all()


@given(st.lists(st.tuples(st.integers(0, 7), st.integers(0, 7)), max_size=20))
def test_covering_is_what_can_be_reached_step_by_step(pairs):
    reached = {pair for pair in pairs if pair[0] != pair[1]}
    while True:
        further = {(a, d) for a, b in reached for c, d in reached if b == c and a != d}
        if further <= reached:
            break
        reached |= further
    closed = covering(np.array(pairs, dtype=int), 8)
    assert [tuple(pair) for pair in closed] == sorted(reached)
