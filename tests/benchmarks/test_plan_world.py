"""The backtested shop: forecasts that keep what they promise, a truth that no plan changes."""

import math

import pytest

from scheduling.core.planner import read_problem
from tests.benchmarks.plan_world import World, chance_by, quantile

ERRORS = 4.5
"""Standard errors; a share is further off by chance 7 times in a million, and the seed is fixed."""


@pytest.fixture(scope="module")
def world():
    return World("M", 1, nights=28, horizon=28)


@pytest.fixture(scope="module")
def many():
    """Stories of several shops, seen from the same night."""
    return [s for seed in range(8) for s in World("M", seed, 14, 28).stories.values()]


@pytest.mark.parametrize("night", [0, 6, 13])
@pytest.mark.parametrize(("point", "share"), [("p10", 0.1), ("p50", 0.5), ("p90", 0.9)])
def test_a_forecast_of_any_night_is_passed_as_often_as_it_says(many, night, point, share):
    ahead = [s for s in many if s.truth > night]
    passed = sum(s.truth - night <= s.forecast(night)[point] for s in ahead)
    error = math.sqrt(share * (1 - share) / len(ahead))
    assert len(ahead) > 1000
    assert abs(passed / len(ahead) - share) < ERRORS * error


def test_a_forecast_grows_narrow_and_ends_at_the_truth(many):
    def width(night):
        return sum(s.forecast(night)["p90"] - s.forecast(night)["p10"] for s in later)

    later = [s for s in many if s.truth > 14 and s.heard <= 0]
    assert width(14) < 0.7 * width(0)
    past = next(s for s in many if 3 < s.truth < 10)
    assert past.forecast(12) == dict.fromkeys(("p10", "p50", "p90"), past.truth - 12)


def test_quantile_and_chance_are_each_others_inverse():
    points = [1.0, 2.0, 4.0, 9.0, 10.25]
    for share in (0.0, 0.05, 0.1, 0.3, 0.5, 0.77, 0.95):
        assert chance_by(points, quantile(points, share)) == pytest.approx(share)


@pytest.mark.parametrize("night", [0, 1, 15, 27])
def test_what_is_seen_on_any_night_is_an_instance_of_its_own_days(world, night):
    case = world.seen(night, {}, {})
    problem = read_problem(case)
    assert problem.horizon_days == 28
    for machine in world.whole["machines"]:
        assert list(problem.machines[machine["id"]].demand) == machine["demand"][night : night + 28]
    heard = {n for n, story in world.stories.items() if story.heard <= night}
    assert set(problem.tasks) == heard
    for machine in problem.machines.values():
        for booking in machine.bookings:
            assert booking.last_day >= 0
            assert world.heard[booking.id] <= night


def test_done_work_is_gone_with_its_parts_and_standing_places_count_from_tonight(world):
    before = world.seen(6, {}, {})
    task = next(t for t in before["tasks"] if t["parts"])
    part = task["parts"][0]["part"]
    place = {"day": 9, "mechanic": "y0-w0"}
    other = next(t["id"] for t in before["tasks"] if t is not task)
    after = world.seen(6, {task["id"]: 5}, {other: place})
    tasks = {t["id"]: t for t in after["tasks"]}
    assert task["id"] not in tasks
    assert tasks[other]["previous"] == {"day": 3, "mechanic": "y0-w0"}
    stock = [{p["id"]: p["on_hand"] for p in case["parts"]}[part] for case in (before, after)]
    assert stock[0] - stock[1] == 1


def test_a_delivery_counts_on_the_day_it_really_comes(world):
    late = [
        (part["id"], row["day"], world.comes_on(part["id"], n, row["day"]))
        for part in world.whole["parts"]
        for n, row in enumerate(part["arrivals"])
    ]
    share = sum(really > day for _, day, really in late) / len(late)
    assert 0.1 < share < 0.5
    name, day, really = next(row for row in late if row[2] > row[1])
    total = [
        next(p for p in world.parts_seen(night, {}) if p["id"] == name)["on_hand"]
        for night in (day - 1, really)
    ]
    assert total[1] > total[0]


def test_somebody_away_is_seen_from_the_night_it_is_heard_of(world):
    name, days = next((name, days) for name, days in world.away.items() if days)
    usual = next(m["hours"] for m in world.whole["mechanics"] if m["id"] == name)
    day, heard = next((d, h) for d, h in sorted(days.items()) if usual[d] > 0)
    hours = [
        next(
            m["hours"][day - night]
            for m in world.seen(night, {}, {})["mechanics"]
            if m["id"] == name
        )
        for night in (heard - 1, heard)
    ]
    assert hours[0] > 0
    assert hours[1] == 0.0


def test_without_trouble_nobody_is_away_and_nothing_late_or_put_off():
    calm = World("M", 1, nights=28, horizon=28, trouble=0.0)
    assert not any(calm.away.values())
    assert all(calm.takes_place(m["id"], n) for m in calm.whole["machines"] for n in range(28))
    assert {calm.comes_on(f"p{n}", 0, 5) for n in range(50)} == {5}


def test_the_truth_is_the_same_twice(world):
    again = World("M", 1, nights=28, horizon=28)
    assert again.stories == world.stories
    assert again.seen(3, {}, {}) == world.seen(3, {}, {})
