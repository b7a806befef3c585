"""A plan after a fixed number of rounds: no clock, no bound, no reasons; the same every time.

For lives lived through again, where thousands of plans are made and each must depend on what is
planned and on the seed alone, however busy the computer is.
"""

from random import Random

from scheduling.core.planner.plan import completed, greedy_plan, standing_plan
from scheduling.core.planner.problem import Problem, Spot, case_of, split_by_yard
from scheduling.core.planner.search import WARM, ruin_and_recreate
from scheduling.core.planner.visits import visits_of

ROUNDS = 12
"""Rounds of ruin and recreate in each yard (our judgement: most of what they gain comes first)."""


def quick_plan(problem: Problem, seed: int = 0, rounds: int = ROUNDS) -> dict[str, Spot]:
    """Return places by task; what has none waits.

    The better of the previous plan completed and of one from nothing, improved by `rounds` rounds
    of ruin and recreate.  A limit that cannot be kept is missed without a word.
    """
    places: dict[str, Spot] = {}
    for number, yard in enumerate(split_by_yard(problem).values()):
        places |= _yard_places(yard, Random(f"{seed}-{number}"), rounds)
    return places


def _yard_places(problem: Problem, rng: Random, rounds: int) -> dict[str, Spot]:
    case = case_of(problem)
    machines = visits_of(case)
    if not machines:
        return {}
    first = [completed(standing_plan(case, machines)), greedy_plan(case, machines)]
    best = min(first, key=lambda draft: draft.total())
    found = ruin_and_recreate(best, WARM.over(rounds), rng, lambda: False) if rounds else best
    return found.places()
