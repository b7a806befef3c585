"""What fits at a glance also fits when it is looked at closely."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from fleet.models import MeterKind
from fleet.validation.judging import FINE, Face, ShownReading, judge, plainly_fine
from fleet.validation.meter_history import MeterHistory, Seen

START = datetime(2026, 1, 1, tzinfo=UTC)
NOW = START + timedelta(days=900)
KINDS = st.sampled_from(MeterKind)


@st.composite
def histories(draw):
    at, value, seen = START, draw(st.floats(0, 5000)), []
    for _ in range(draw(st.integers(0, 30))):
        seen.append(Seen(at, value))
        at += timedelta(hours=draw(st.integers(1, 900)))
        value = max(0.0, value + draw(st.floats(-1, 400_000)))
    return MeterHistory(seen)


@given(histories(), KINDS, st.integers(-200, 2000), st.floats(-10, 800_000), st.booleans())
def test_a_glance_never_lets_in_what_a_close_look_would_ask_about(history, kind, hours, step, day):
    last = history.seen[-1] if history.seen else Seen(START, 0.0)
    at, value = last.at + timedelta(hours=hours), last.value + step
    midnight = at.replace(hour=0, minute=0)
    span = (midnight, midnight + timedelta(hours=23, minutes=59)) if day else None
    shown = ShownReading(value, at, span)
    if at < NOW and plainly_fine(value, shown.span, shown.leeway, kind, history):
        assert judge(shown, Face(kind), history, NOW) == FINE


def test_most_rows_are_fine_at_a_glance():
    history = MeterHistory([Seen(START, 100.0)])
    at = START + timedelta(days=1)
    assert plainly_fine(105.0, (at, at), timedelta(), MeterKind.HOURS, history)
