"""The door, asked about a small fleet that is made up here."""

from datetime import date

import numpy as np
import pytest

from tests.benchmarks.forecast_baselines import BASELINES, point_days
from tests.benchmarks.forecast_data import DailyUse, in_our_half
from tests.benchmarks.forecast_door import Predictor
from tests.benchmarks.forecast_plot import calibration, draw
from tests.benchmarks.forecast_protocol import CAP, Protocol
from tests.benchmarks.forecast_score import Answers, figures, with_interval


@pytest.fixture(scope="module")
def protocol():
    """Eighty machines of two groups, on hire for a week or so at a time."""
    rng = np.random.default_rng(3)
    on = np.cumsum(rng.exponential(8, (80, 120)), axis=1)
    days = np.arange(300)
    hired = np.array([(np.searchsorted(row, days) % 2) == 0 for row in on])
    use = hired * rng.gamma(2, 0.5, (80, 300)) * rng.uniform(1, 9, (80, 1))
    names = [f"M{i:02}" for i in range(80)]
    return Protocol(DailyUse(names, ["A", "B"] * 40, use, date(2021, 3, 1)), 0.1, seed=2)


def answers(days, tasks):
    truth = np.array([task.truth for task in tasks])
    return Answers(days, truth, np.ones_like(truth), np.array([task.nominal for task in tasks]))


@pytest.mark.parametrize("with_bookings", [False, True])
def test_every_task_gets_three_days_in_order(protocol, with_bookings):
    tasks, fleet = protocol.ask(120, 60, with_bookings)
    days = Predictor().predict_batch(tasks, fleet, tasks[0].origin)
    assert days.shape == (60, 3)
    assert (days[:, 0] <= days[:, 1]).all()
    assert (days[:, 1] <= days[:, 2]).all()


def test_forecasts_beat_every_baseline_and_bookings_help(protocol):
    losses: dict[str, float] = {}
    for with_bookings in (False, True):
        asked = [protocol.ask(day, 70, with_bookings) for day in protocol.origins[2::3]]
        tasks = [task for part, _ in asked for task in part]
        ours = [Predictor().predict_batch(part, fleet, part[0].origin) for part, fleet in asked]
        losses[f"ours {with_bookings}"] = figures(answers(np.concatenate(ours), tasks))["pinball"]
    truth = np.array([task.truth for task in tasks], dtype=float)
    for name, rate in BASELINES.items():
        points = [point_days(rate, part, fleet, part[0].origin) for part, fleet in asked]
        days = with_interval(np.concatenate(points), truth)
        losses[name] = figures(answers(days, tasks))["pinball"]
    best = min(losses[name] for name in BASELINES)
    assert losses["ours False"] < best
    assert losses["ours True"] < losses["ours False"]


def test_questions_know_nothing_of_what_follows(protocol):
    tasks, fleet = protocol.ask(120, 60, with_bookings=False)
    assert all(t < tasks[0].origin for machine in fleet.values() for t, _ in machine.readings)
    assert {0, CAP} & {task.truth for task in tasks}
    assert 0 < np.median([task.truth for task in tasks]) < CAP


def test_our_half_is_about_half_and_always_the_same():
    ours = [in_our_half(f"N{i}XY") for i in range(1000)]
    assert 450 < sum(ours) < 550
    # SHA-256 of "N10156" begins with 0x73, of "N102UW" with 0x5e.
    assert [in_our_half("N10156"), in_our_half("N102UW")] == [False, True]


def test_a_calibrated_forecast_lies_on_the_diagonal(tmp_path):
    rng = np.random.default_rng(5)
    levels = np.array([0.1, 0.5, 0.9])
    mean = rng.uniform(30, 60, 4000)
    truth = np.floor(mean * rng.uniform(0.5, 1.5, 4000))
    days = np.floor(mean[:, None] * (0.5 + levels))
    shares = calibration(days, truth, levels, CAP)
    assert shares == pytest.approx(levels, abs=0.03)
    draw(tmp_path / "plot.svg", levels, shares)
    assert (tmp_path / "plot.svg").read_text(encoding="utf-8").count("<circle") == 3
