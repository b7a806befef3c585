"""Cases with answers that theory or a publication gives, through the planner's own format.

A job of p units is p tasks of an hour on a mechanic who works one hour a day: without release
dates nothing is gained by interrupting a job, so the textbook optimum is also this one's.
Vectors: fixtures/published_vectors.json, with their sources.
"""

from random import Random

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
)
from tests.plan_check import late_and_early
from tests.scheduling.core.planner.cases import plan, proven
from tests.vectors.published import vector


def hour_a_day(days, tasks, **fields):
    """One mechanic with one hour a day, and a machine for each task."""
    case = instance(
        days,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [1.0] * days)],
        machines=[plain_machine(t["machine"], days) for t in tasks],
        tasks=tasks,
    )
    return case | {"weights": free_weights()} | fields


@pytest.mark.parametrize("seed", range(3))
def test_unit_jobs_with_any_day_prices_match_the_assignment_solver(seed):
    rng, days = Random(seed), 12
    tasks = []
    for n in range(9):
        p50 = rng.uniform(-2, days)
        tasks.append(plain_task(f"t{n}", f"m{n}", 1.0, 0.0))
        tasks[-1]["due"] = {"p10": p50 - rng.uniform(0, 3), "p50": p50, "p90": p50 + 2}
        tasks[-1] |= {"overdue_cost_per_day": rng.uniform(1, 9), "waste_cost_per_day": 2.0}
    table = np.array([[price(t, d) for d in [*range(days), *[days] * len(tasks)]] for t in tasks])
    rows, columns = linear_sum_assignment(table)
    assert proven(hour_a_day(days, tasks)) == pytest.approx(table[rows, columns].sum(), abs=1e-6)


def price(task, day):
    late, early = late_and_early(task["due"], day)
    return task["overdue_cost_per_day"] * late + task["waste_cost_per_day"] * early


@pytest.mark.parametrize(("slack", "kept"), [(0, True), (-1, False)])
def test_earliest_due_date_minimises_the_largest_lateness(slack, kept):
    """SCH-02: the least largest lateness is 4, so limits of due + 4 can be kept and + 3 cannot."""
    given, expected = vector("SCH-02")
    lateness = expected["Lmax_optimal"] + slack
    tasks = [
        plain_task(f"j{j}u{u}", f"j{j}u{u}", 1.0, 0.0, limit_day=due + lateness - 1)
        for j, (p, due) in enumerate(zip(given["p"], given["due"], strict=True))
        for u in range(p)
    ]
    result = plan(hour_a_day(sum(given["p"]), tasks))
    assert result.feasible is kept
    assert result.fewest


def weighted_completion(p, w):
    """The least weighted completion by the planner.

    Of a job of p units with weight w each unit weighs w/p; a unit on day d is at d + 1/2 in the
    mean, and a job is complete p/2 after its mean.
    """
    tasks = [
        plain_task(f"j{j}u{u}", f"j{j}u{u}", 1.0, 0.0, overdue_cost_per_day=w[j] / p[j])
        for j in range(len(p))
        for u in range(p[j])
    ]
    days = proven(hour_a_day(sum(p), tasks))
    return days + sum(w[j] * (p[j] + 1) / 2 for j in range(len(p)))


def test_weight_over_hours_orders_jobs_by_smiths_ratio():
    given, expected = vector("SCH-08")
    found = weighted_completion(given["p"], given["w"])
    assert found == pytest.approx(expected["sum_wC"])


def test_shortest_first_minimises_the_mean_flow():
    given, expected = vector("SCH-07")
    p = list(given["p"].values())
    found = weighted_completion(p, [1] * len(p)) / len(p)
    assert found == pytest.approx(expected["SPT_mean_flow"])


def test_shortest_first_minimises_the_mean_completion_from_today():
    given, expected = vector("SCH-03")
    p = list(given["p"].values())
    found = given["today"] + weighted_completion(p, [1] * len(p)) / len(p)
    assert found == pytest.approx(expected["shortest"]["mean_completion"])


def test_the_number_of_late_jobs_is_that_of_moore_and_hodgson():
    """SCH-01: a job is on time if its time can be drawn from what has come by its due date.

    Time arrives like a part.  Each machine goes out the day after its job's due date, which
    costs 1 if the job is not done.
    """
    given, expected = vector("SCH-01")
    p, due = given["p"], given["due"]
    dates = sorted(set(due))
    days = len(dates)
    arrivals = [
        {"day": n, "quantity": b - a}
        for n, (a, b) in enumerate(zip([0, *dates], dates, strict=False))
    ]
    machines, tasks = [], []
    for j, date in enumerate(due):
        out = {
            "id": f"b{j}",
            "first_day": dates.index(date) + 1,
            "last_day": days + 1,
            "value": 1.0,
        }
        machines.append(plain_machine(f"m{j}", days, bookings=[out]))
        use = [{"part": "time", "quantity": p[j]}]
        tasks.append(plain_task(f"t{j}", f"m{j}", 0.0, 0.0, parts=use, blocks_rental=True))
    whole = hour_a_day(
        days,
        tasks,
        machines=machines,
        parts=[{"id": "time", "yard": "y", "on_hand": 0, "arrivals": arrivals}],
    )
    assert proven(whole) == pytest.approx(expected["late_count"])


def test_bins_are_packed_where_first_fit_decreasing_takes_two_more():
    """SCH-06: a bin is a mechanic-day with a trip to one ranch for 100."""
    given, expected = vector("SCH-06")
    sizes = [int(s) for s, count in given["items"].items() for _ in range(count)]
    days = expected["FFD_bins"]
    tasks = [plain_task(f"t{n}", f"m{n}", s, 0.0, limit_day=days - 1) for n, s in enumerate(sizes)]
    whole = hour_a_day(
        days,
        tasks,
        mechanics=[plain_mechanic("w", [float(given["capacity"])] * days)],
        sites=[{"id": "ranch", "yard": "y", "travel_hours": 0.0, "trip_cost": 100.0}],
        machines=[plain_machine(t["machine"], days, site="ranch") for t in tasks],
    )
    result = plan(whole)
    assert result.feasible
    assert result.total == pytest.approx(100 * expected["optimal_bins"])


def spread(day: float, curve: float, width: float = 40.0) -> dict:
    """Due date and rates of a task that costs curve x (d - day)^2 + curve x width^2.

    The four pieces are uniform over day +- width when p50 - p10 = p90 - p50 = width / 1.25.
    """
    arm, rate = width / 1.25, 2 * curve * width
    due = {"p10": day - arm, "p50": day, "p90": day + arm}
    return {"due": due, "overdue_cost_per_day": rate, "waste_cost_per_day": rate}


def one_machine(days, visit_cost, wanted):
    """A machine whose tasks would each best be done on a day of their own, at a curved penalty."""
    tasks = [plain_task(f"t{n}", "m", 1.0, 0.0) | spread(*w) for n, w in enumerate(wanted)]
    return hour_a_day(
        days,
        tasks,
        mechanics=[plain_mechanic("w", [100.0] * days)],
        machines=[plain_machine("m", days, visit_cost=visit_cost)],
        weights=free_weights() | {"deferred_days": 30},
    )


def grouped(days, visit_cost, wanted):
    """Least cost by a dynamic programme over groups that are consecutive in due order."""
    best = [0.0]
    for end in range(1, len(wanted) + 1):
        best.append(
            min(
                best[start]
                + visit_cost
                + min(sum(c * (d - t) ** 2 for t, c in wanted[start:end]) for d in range(days))
                for start in range(end)
            )
        )
    return best[-1]


def test_published_groups_of_one_machine_are_found():
    """GRP-03, on whole days: its best dates 12.94 and 22.89 become 13 and 23."""
    given, expected = vector("GRP-03")
    wanted = list(zip(given["tentative_day"], given["penalty_per_day_squared"], strict=True))
    result = plan(one_machine(36, given["setup"], wanted))
    day_of = {a.task: a.day for a in result.assignments}
    groups = [{day_of[f"t{n - 1}"] for n in group} for group in expected["groups"]]
    assert groups == [{round(date)} for date in expected["dates"]]
    offsets = sum(c * 40.0**2 for _, c in wanted)
    assert 0 <= result.total - offsets - expected["total_with_setups"] < 0.05


@pytest.mark.parametrize("seed", range(3))
def test_groups_match_the_consecutive_dynamic_programme(seed):
    """One machine with room to spare (Wildeman, Dekker, Smit 1997, EJOR 99:530)."""
    rng = Random(seed)
    wanted = sorted((rng.randint(0, 24), rng.choice([0.1, 0.4, 1.0])) for _ in range(5))
    offsets = sum(c * 40.0**2 for _, c in wanted)
    found = proven(one_machine(25, 12.0, wanted)) - offsets
    assert found == pytest.approx(grouped(25, 12.0, wanted), abs=1e-6)


@pytest.mark.parametrize(("apart", "visits"), [(4, 1), (5, 2)])
def test_two_tasks_share_a_visit_up_to_the_break_even(apart, visits):
    """Pulling one forward wastes 9 a day; a second visit costs 30 + 10 downtime: 4.4 days."""
    days = 20
    tasks = [
        plain_task(
            f"t{n}", "m", 1.0, 5.0 + n * apart, overdue_cost_per_day=99.0, waste_cost_per_day=9.0
        )
        for n in range(2)
    ]
    machine = plain_machine("m", days, visit_cost=30.0, day_rate=40.0, demand=[0.5] * days)
    result = plan(
        hour_a_day(days, tasks, machines=[machine], mechanics=[plain_mechanic("w", [9.0] * days)])
    )
    assert len({a.day for a in result.assignments}) == visits
