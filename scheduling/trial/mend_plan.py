"""Mend a plan when something breaks: few moves that make it hold again, each with its reason."""

from dataclasses import replace
from datetime import datetime
from typing import Any

from fleet.models import Shop
from fleet.saying import short_date
from scheduling.core.planner import (
    InstanceError,
    LeavingKind,
    ReasonedMove,
    RunLimits,
    compare,
    mend,
    read_problem,
)
from scheduling.plan.search_stages import Telling
from scheduling.plan.shop_names import ShopNames
from scheduling.plan.shop_problem import ShopFacts, instance, vars_of
from scheduling.trial.apply_changes import changed
from scheduling.trial.changes import Change
from scheduling.trial.differences import TrialOutcome, shown
from scheduling.trial.standing_plan import standing
from scheduling.trial.trial_result import Worked, base_of, fault_of
from scheduling.wording import move_sentences

SECONDS = 2.0
"""How long few moves are searched for at most: whoever stands in the shop waits for it, and on the
demo's shop 8 s found no fewer. It ends sooner where fewer are proven not to do."""

SECONDS_AGAIN = 15.0
"""The same where somebody asks for it again: they would rather wait than move so much."""


def mend_plan(
    shop: Shop, changes: list[Change], now: datetime, tell: Telling, seconds: float = SECONDS
) -> Worked:
    """Return the plan that mends what broke and moves as little as it can, with each move's why.

    seconds: how long few moves are searched for at most.
    The first days, which stand still otherwise, may change too, since that is where things break.
    """
    tell.stage("loading the shop")
    base = base_of(shop, now)
    facts = changed(base.facts, changes)
    try:
        problem = read_problem(_with_all_that_stood(instance(facts), facts))
    except InstanceError as error:
        return Worked(base.marks, base.number, None, {"fault": fault_of(error)})
    tell.stage("as few moves as will do")
    found = mend(problem, RunLimits(seconds=seconds, workers=1, seed=0))
    # What no plan could cost less than is left to the night: it would take longer than the moves.
    result = replace(found.result, bound=0.0)
    difference = compare(base.problem, standing(base.facts, base.problem), problem, result)
    names = ShopNames(facts)
    whys = {move.task: _whys(move, facts, names) for move in found.moves}
    said = shown(TrialOutcome(changes, facts, result, difference, whys))
    return Worked(
        base.marks,
        base.number,
        result,
        said | {"fewest": found.fewest, "least_moves": found.least_moves},
    )


def _whys(move: ReasonedMove, facts: ShopFacts, names: ShopNames) -> list[str]:
    """Return why work moves.

    What a decision took from its place stands nowhere for the search, and is not new for people.
    """
    said = move_sentences(move, names)
    if move.leaving.kind != LeavingKind.NEW:
        return said
    work = next(one for one in facts.work if one.key == move.task)
    stood, put_off = facts.decided.stood.get(work.key), facts.decided.put_off.get(work.key)
    if put_off is not None:
        day = short_date(put_off[0], facts.horizon.first)
        return [f"Put off on {day}: {put_off[1]}.", *said[1:]]
    if stood is None:
        return said
    if work.begun is not None and move.after is not None:
        who = names.mechanic(move.after.mechanic or "")
        return [f"It is under way, and goes on with {who}, who has it in hand."]
    return ["It is pinned elsewhere.", *said[1:]]


def _with_all_that_stood(made: dict[str, Any], facts: ShopFacts) -> dict[str, Any]:
    """Return the instance with the places of all work, also where it cannot stay.

    Planning leaves out a place in the first days that is no longer possible; mending wants to
    know it, to say what moves from there.
    """
    stood = facts.decided.stood
    here = {worker.username for worker in facts.workers}
    tasks = [
        {**task, "previous": vars_of(stood[task["id"]])}
        if task["previous"] is None
        and task["id"] in stood
        and stood[task["id"]].mechanic in here
        and not _pinned_elsewhere(task, vars_of(stood[task["id"]]))
        else task
        for task in made["tasks"]
    ]
    return {**made, "tasks": tasks}


def _pinned_elsewhere(task: dict[str, Any], place: dict[str, Any]) -> bool:
    pin = task["pin"]
    return pin is not None and (pin["day"], pin["mechanic"] or place["mechanic"]) != (
        place["day"], place["mechanic"],
    )  # fmt: skip
