"""Shop-day plans: facts and due points in, the shop's plan in the database out."""

from scheduling.plan.report import PlanReport
from scheduling.plan.shop_plan import plan_shop

__all__ = ["PlanReport", "plan_shop"]
