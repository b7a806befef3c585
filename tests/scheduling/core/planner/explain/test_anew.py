"""One machine put back into a plan that stands, with other days of its own."""

from dataclasses import replace

from scheduling.core.planner import BookedSpan, Spot, placed_anew, price, read_problem
from tests.scheduling.core.planner.explain.test_sooner import shop, task

PLACES = {"t0": Spot(0, "w"), "t1": Spot(2, "w")}


def problem(*bookings):
    read = read_problem(shop(task(0, 7.0), task(1, 2.0)))
    own = replace(read.machines["m1"], bookings=bookings)
    return replace(read, machines=read.machines | {"m1": own})


def test_it_goes_round_a_booking_at_the_least_cost_and_all_others_stay():
    booked = problem(BookedSpan("b", 1, 2, 100.0))
    found = placed_anew(booked, PLACES, "m1")
    assert found["t0"] == PLACES["t0"]
    assert found["t1"].day == 3  # day 0 has an hour left, days 1 and 2 are booked
    assert sum(price(booked, found).values()) <= sum(
        price(booked, PLACES | {"t1": Spot(3, "w")}).values()
    )


def test_where_no_day_is_left_the_work_waits():
    assert "t1" not in placed_anew(problem(BookedSpan("b", 0, 3, 100.0)), PLACES, "m1")


def test_without_work_the_plan_stays_as_it_is():
    read = problem()
    idle = replace(read, tasks={name: each for name, each in read.tasks.items() if name != "t1"})
    assert placed_anew(idle, {"t0": Spot(0, "w")}, "m1") == {"t0": Spot(0, "w")}
