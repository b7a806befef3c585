"""Where the tasks of one machine go if its days change, all others staying where they are.

A search for the whole plan may find better places, so what the plan costs then is the most.
"""

from collections.abc import Mapping

from scheduling.core.planner.plan import placed_plan, replan
from scheduling.core.planner.problem import Problem, Spot, case_of, split_by_yard
from scheduling.core.planner.visits import visits_of

from .sooner import as_it_stands


def placed_anew(problem: Problem, places: Mapping[str, Spot], machine: str) -> dict[str, Spot]:
    """Return the plan `places` with all tasks of `machine` placed as cheaply as found; or waiting.

    A task whose limit no place keeps any more waits too.
    """
    own = {name for name, task in problem.tasks.items() if task.machine == machine}
    rest = {name: spot for name, spot in places.items() if name not in own}
    if not own:
        return rest
    stands = as_it_stands(problem, rest)
    yard = split_by_yard(stands)[problem.machines[machine].yard]
    case = case_of(yard)
    draft = placed_plan(case, visits_of(case), {k: v for k, v in rest.items() if k in yard.tasks})
    k = next(k for k, v in enumerate(draft.machines) if v.machine.id == machine)
    replan(draft, k)
    return rest | draft.places_of(k)
