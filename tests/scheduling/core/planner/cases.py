"""What the planner's tests share: solving a case on a stopwatch of processor time."""

import time
from random import Random

from scheduling.core.planner import Assignment, ReasonedMove, Result, RunLimits, read_problem, solve
from scheduling.core.planner.problem.case import Case, case_of
from scheduling.core.planner.problem.entities import Spot
from scheduling.core.planner.visits.visits import Visits, visits_of
from scheduling.wording import IdNames, move_sentences, place_sentence

IDS = IdNames()
"""Ids as they are, and days by their numbers."""


def plan(case: dict, seconds: float = 20.0, **limits) -> Result:
    """Solve a case; the stopwatch counts processor time, so that a busy machine changes nothing."""
    limits.setdefault("clock", time.process_time)
    return solve(read_problem(case), RunLimits(seconds, **limits))


def proven(case: dict, **limits) -> float:
    """The least cost of a case, which must have been proven."""
    result = plan(case, **limits)
    assert result.stopped == "optimal"
    return result.total


def why(place: Assignment) -> str:
    """Why a task stands where it does, as a plan's file says it."""
    return place_sentence(place.reason, IDS)


def why_moved(move: ReasonedMove) -> str:
    """Why a task moves, as a mend's file says it."""
    return " ".join(move_sentences(move, IDS))


def random_places(case: dict, seed: int) -> dict[str, Spot]:
    """Two in three tasks on any day with one mechanic a machine and day."""
    rng = Random(seed)
    crew = {
        (m["id"], day): rng.choice(case["mechanics"])["id"]
        for m in case["machines"]
        for day in range(case["horizon_days"])
    }
    places = {}
    for task in case["tasks"]:
        day = rng.randrange(case["horizon_days"])
        if rng.random() < 0.67:
            places[task["id"]] = Spot(day, crew[task["machine"], day])
    return places


def yard_case(case: dict) -> tuple[Case, list[Visits]]:
    """The arrays of an instance with one yard, and its machines' visits."""
    made = case_of(read_problem(case))
    return made, visits_of(made)
