"""Shops out of shape: skills short, parts late, everything overdue, all that the format can say.

Each is the shop of size M and the same seed with one thing changed.
"""

from random import Random

from tests.benchmarks.plan_additions import sprinkle
from tests.benchmarks.plan_instances import Row
from tests.benchmarks.plan_site_shapes import SITE_SHAPES, site_shape
from tests.benchmarks.plan_sizes import SIZES, shop


def skills_short(seed: int) -> Row:
    """Three skills are held by the first mechanic alone."""
    case = shop("M", seed)
    for mechanic in case["mechanics"][1:]:
        mechanic["skills"] = ["general"]
    return case


def parts_late(seed: int) -> Row:
    """Nothing is on the shelf; every part comes one by one between days 8 and 20."""
    case, rng = shop("M", seed), Random(f"late-{seed}")
    for part in case["parts"]:
        wanted = part["on_hand"] + sum(a["quantity"] for a in part["arrivals"])
        days = [rng.randint(8, 20) for _ in range(wanted)]
        part |= {"on_hand": 0, "arrivals": [{"day": day, "quantity": 1} for day in days]}
    return case


def all_overdue(seed: int) -> Row:
    """Every task has been due for one day to three weeks; legal limits stay where they are."""
    case, rng = shop("M", seed), Random(f"overdue-{seed}")
    for task in case["tasks"]:
        back = task["due"]["p90"] + rng.uniform(1, 21)
        task["due"] = {point: round(day - back, 2) for point, day in task["due"].items()}
    return case


def with_additions(seed: int) -> Row:
    """Lent bays, shut ranches, late parts, order, second persons and work over several days.

    The simpler planners know nothing of these, so their plans break rules.
    """
    return sprinkle(shop("M", seed), seed)


SHAPES = {
    "skills": skills_short,
    "late": parts_late,
    "overdue": all_overdue,
    "additions": with_additions,
}


def made(name: str, seed: int) -> Row:
    """Return the instance of a size or shape, or of a shop of the site, and a seed."""
    if name in SITE_SHAPES:
        return site_shape(name, seed)
    return shop(name, seed) if name in SIZES else SHAPES[name](seed)
