"""What a trial stands on, and what it comes to."""

import logging
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from fleet.models import Shop
from scheduling.core.planner import InstanceError, Problem, Result, read_problem
from scheduling.plan.shop_plan import plan_number
from scheduling.plan.shop_problem import ShopFacts, digest, instance, load_shop

logger = logging.getLogger(__name__)


@dataclass(frozen=True)
class Worked:
    """What a trial came to: the facts and the plan it stands on, the plan found, what is shown."""

    base: str
    base_plan: int
    solution: Result | None
    shown: dict[str, Any]


@dataclass(frozen=True)
class Base:
    """A shop as it is: its facts, their digest, the planner's problem, the plan's number."""

    number: int
    facts: ShopFacts
    marks: str
    problem: Problem


def base_of(shop: Shop, now: datetime) -> Base:
    """Load a shop as it is; the number first, so that a plan written meanwhile is noticed."""
    number = plan_number(shop)
    facts = load_shop(shop, now)
    made = instance(facts)
    return Base(number, facts, digest(made, facts), read_problem(made))


def fault_of(error: InstanceError) -> str:
    """Say that changes make no problem that can be planned.

    What the planner objects to names fields and keys, which are for who mends the program.
    """
    logger.warning("Changes that are tried make no problem: %s", error)
    return (
        "This cannot be planned: the changes do not fit each other or the shop."
        " Take a change out or mend it."
    )
