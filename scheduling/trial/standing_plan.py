"""The plan as it stands, as the planner would hand it back."""

from scheduling.core.planner import Assignment, Problem, Result, blocked_bookings, price
from scheduling.models import Plan, PlannedWork
from scheduling.plan.shop_problem import ShopFacts
from scheduling.plan.workers import worker_on


def standing(facts: ShopFacts, problem: Problem) -> Result:
    """Return the shop's plan, priced by the facts as they are; two queries.

    Work that is no longer to be done, or stands where nobody works any more, is left out.
    """
    plan = Plan.objects.filter(shop=facts.shop).first()
    spots = _spots(facts, problem)
    there = {spot.task for spot in spots}
    places = Result(tuple(spots), (), (), {}, 0.0, 0.0, "").places()
    return Result(
        assignments=tuple(spots),
        deferred=tuple(task for task in problem.tasks if task not in there),
        blocked_bookings=tuple(blocked_bookings(problem, places)),
        cost=price(problem, places),
        bound=plan.bound if plan else 0.0,
        seconds=0.0,
        stopped=plan.stopped if plan else "",
    )


def _spots(facts: ShopFacts, problem: Problem) -> list[Assignment]:
    rows = PlannedWork.objects.filter(plan__shop=facts.shop, job__isnull=False).order_by("work_key")
    found = []
    for key, day, account, helper in rows.values_list(
        "work_key", "job__day", "job__mechanic__username", "job__second__username"
    ):
        number, task = facts.horizon.number(day), problem.tasks.get(key)
        name = worker_on(facts.workers, account, number)
        if task is not None and name is not None and 0 <= number < facts.horizon.days:
            second = worker_on(facts.workers, helper, number) if task.second and helper else None
            found.append(Assignment(key, number, name, second=second))
    return found
