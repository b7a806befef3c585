"""Shop-day plans: facts and due points in, the shop's plan in the database out."""

from scheduling.planning.plan import plan_shop
from scheduling.planning.report import PlanReport

__all__ = ["PlanReport", "plan_shop"]
