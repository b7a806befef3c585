"""Whether hindsight counts the demo's past as it was simulated.

    python -m tests.benchmarks.hindsight_truth [NIGHTS]

On a loaded demo (EVENER_DATA): each machine is simulated again from its seed, and the days on which
a service was past its window are counted from the true use of each day and the simulation's own
rules (`fleet.demo.duepoints`), which share no code with the site's.  Beside them what the site
counts from its readings and its book.
"""

import os
import sys
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import Any

import django
import numpy as np
from django.utils import timezone

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
django.setup()

from fleet.demo.duepoints import _window, begin, meet, meter_step  # noqa: E402
from fleet.demo.live_machine import SimulatedPast, World  # noqa: E402
from fleet.demo.load_fleet import world_of  # noqa: E402
from fleet.demo.loaded_demo import loaded_demo  # noqa: E402
from fleet.demo.roster import roster  # noqa: E402
from fleet.demo.scenario import scenario  # noqa: E402
from fleet.demo.stories import tell  # noqa: E402
from fleet.models import Shop  # noqa: E402
from scheduling.core.replay import as_it_was  # noqa: E402
from scheduling.hindsight.past_loading import load_past  # noqa: E402

SHOP = 0
"""The county's own shop; larger demos have copies of it."""


def true_overdue_days(
    today: date, seed: int, first: date, nights: int, machines: int | None = None
) -> int:
    """Return the overdue machine-days of the first shop that were really simulated."""
    told = scenario()
    world = world_of(told, today, seed)
    found = 0
    for unit in roster(told, machines):
        if unit.shop == SHOP:
            history = tell(np.random.default_rng([seed, unit.index]), unit, world)
            found += int(_late_days(history, world, first.toordinal(), nights).sum())
    return found


def _late_days(history: SimulatedPast, world: World, first: int, nights: int) -> np.ndarray:
    """Return on which days a machine was past a window as the day ended, (nights,)."""
    late = np.zeros(nights, dtype=np.bool_)
    for rule in world.rules[history.unit.slot.make_up["rules"]]:
        late |= _late_on(history, world, rule, first, nights)
    return late & (np.arange(first, first + nights) >= history.standing.started)


def _late_on(
    history: SimulatedPast, world: World, rule: Mapping[str, Any], first: int, nights: int
) -> np.ndarray:
    """Return on which days one service was past its window."""
    kind, standing, course = rule.get("meter_kind", ""), history.standing, history.course
    factor = standing.factor
    point = begin(rule, standing.started, 0.0, factor)
    for done in standing.done.get(rule["service"], ()):
        point = meet(rule, point, done.day, done.lives.get(kind), factor)
    visits = {
        visit.day: visit for visit in history.visits
        if any(rule["service"] in {code, *world.covers[code]} for code in visit.services)
    }  # fmt: skip
    share = min(1.0, meter_step(rule, factor) / rule["every"]) if rule.get("every") else 1.0
    after, days_after = _window(rule, "")[1] * share, _window(rule, "_days")[1]
    late = np.zeros(nights, dtype=np.bool_)
    for day in range(world.first, first + nights):
        if day in visits:
            point = meet(rule, point, day, course.lives_on(day).get(kind), factor)
        if day >= first:
            life = course.lives_on(day + 1).get(kind, -np.inf)
            late[day - first] = life > point.life + after or day > point.day + days_after
    return late


def main(arguments: Sequence[str]) -> int:
    """Print both counts for a year of the loaded demo."""
    mark, shop, now = loaded_demo(), Shop.objects.order_by("pk").first(), timezone.now()
    if mark is None or shop is None:
        sys.stderr.write("No demo is loaded here; manage.py load_demo does it.\n")
        return 2
    nights = int(arguments[0]) if arguments else 365
    first = mark.loaded_for - timedelta(days=nights)
    true = true_overdue_days(mark.loaded_for, mark.seed, first, nights, mark.machines)
    past = load_past(shop, first, mark.loaded_for - timedelta(days=1), now).past
    counted = as_it_was(past).overdue_days
    sys.stdout.write(
        f"{nights} nights: {true} overdue machine-days were simulated, {counted} are counted"
        f" ({100 * (counted / true - 1):+.1f} %).\n"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
