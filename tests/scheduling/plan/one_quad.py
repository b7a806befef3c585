"""Facts of a shop with one mechanic and one quad whose oil is due: nothing in the database."""

from dataclasses import replace
from datetime import date

from fleet.models import Shop
from scheduling.plan.decided import Decided
from scheduling.plan.horizon import Horizon, Worker
from scheduling.plan.rented import Rented
from scheduling.plan.shelf import Shelf
from scheduling.plan.shop_problem import ShopFacts
from scheduling.plan.work_to_plan import WorkToPlan

OIL = WorkToPlan("m:1:5", "Oil change", 1, 60, "any", (2, 3, 4), 10.0)
ADA = Worker(7, "ada", "Ada Brook", frozenset({"any"}), (8.0,) * 5)
QUAD = Rented(1, "Q-1", 1, None, 100.0, 0.5, ())
FACTS = ShopFacts(
    shop=Shop(name="Fork", bays=2),
    horizon=Horizon(date(2026, 3, 2), (10.0,) * 5, {}),
    workers=[ADA],
    decided=Decided({}, {}, {}, {}),
    work=[OIL],
    machines={1: QUAD},
    shelf=Shelf({OIL.key: ()}, {}, {}),
    setups={},
    setups_of={},
    sites={},
)


def facts(**changes):
    return replace(FACTS, **changes)
