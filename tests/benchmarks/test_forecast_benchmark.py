"""The forecast against the simple rules on open data, a short form of `forecast_benchmark`."""

import pytest

from tests.benchmarks.forecast_benchmark import (
    answers_of,
    gain,
    our_range,
    protocol_of,
    simple_answers,
)
from tests.benchmarks.forecast_score import figures


@pytest.mark.parametrize("meter", ["hours", "cycles"])
def test_on_open_data_the_forecast_loses_a_fifth_less_than_the_best_simple_rule(meter):
    """Every third of the twelve days that the whole benchmark asks on."""
    protocol = protocol_of(meter)
    asked = [protocol.ask(day, 300, with_bookings=False) for day in protocol.origins[::3]]
    ours = answers_of(our_range(asked), asked)
    assert ours.truth.size == 1200
    assert gain(ours, simple_answers(asked), "pinball")[0] >= 0.2
    assert 0.75 <= figures(ours)["cover80_inner"] <= 0.85
