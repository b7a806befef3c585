"""Shops that the site makes itself, as instances of the planner's benchmark.

`demo` is the demo's shop of 98 machines, `yard430` the first shop of a large demo (490 machines
and 21 mechanics in one yard), both as `manage.py plan_problem` writes them; the others are the
demo's with one thing changed.  A shop is loaded once a day and kept in the system's temporary
folder, as what is due depends on the day.
"""

import os
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Callable
from copy import deepcopy
from datetime import UTC, datetime
from json import loads
from pathlib import Path
from random import Random

from scheduling.core.planner import RunLimits, read_problem, solve
from tests.benchmarks.plan_instances import Row

ROOT = Path(__file__).parents[2]
MACHINES = {"demo": 98, "yard430": 490}
REFRESH = (
    "from django.utils.timezone import now; from fleet.models import Machine;"
    "from scheduling.due.refresh import refresh;"
    "refresh(list(Machine.objects.values_list('pk', flat=True)), now())"
)

WEEK = 7
"""Days of the plan that are published, and on which somebody is away."""

SECONDS = 10.0
"""Wall-clock seconds for the plan that is then published."""


def site_problem(name: str) -> Row:
    """Return the problem of the demo's shop as it is today; loading it takes minutes."""
    kept = Path(tempfile.gettempdir()) / f"evener-{name}-{datetime.now(tz=UTC):%Y-%m-%d}.json"
    if not kept.exists():
        with tempfile.TemporaryDirectory() as data:
            made = Path(data) / "problem.json"
            for command in (
                ["migrate", "--verbosity", "0"],
                ["load_demo", "--machines", str(MACHINES[name])],
                ["shell", "--command", REFRESH],
                ["plan_problem", "--out", str(made)],
            ):
                _manage(command, data)
            kept.write_bytes(made.read_bytes())
    return dict(loads(kept.read_text(encoding="utf-8")))


def _manage(command: list[str], data: str) -> None:
    where = {**os.environ, "EVENER_DATA": data}
    where.pop("DATABASE_URL", None)
    subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), *command],
        cwd=ROOT, env=where, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip


def in_twos(case: Row, seed: int) -> Row:
    """A third of the work takes a second person for half of its hours."""
    case, rng = deepcopy(case), Random(f"twos-{seed}")
    for task in rng.sample(case["tasks"], len(case["tasks"]) // 3):
        task["second"] = {"skill": "any", "hours": round(task["hours"] / 2, 2)}
    return case


def over_days(case: Row, seed: int) -> Row:
    """A tenth of the work takes 10 to 18 hours, over several days; one piece a machine at most."""
    case, rng = deepcopy(case), Random(f"long-{seed}")
    machines = rng.sample([m["id"] for m in case["machines"]], len(case["tasks"]) // 10)
    for name in machines:
        task = next(t for t in case["tasks"] if t["machine"] == name)
        task |= {"hours": float(rng.randint(10, 18)), "several_days": True, "limit_day": None}
    return case


def published(case: Row, seed: int) -> Row:
    """A plan stands, and its first week is published."""
    case = deepcopy(case)
    plan = solve(read_problem(case), RunLimits(SECONDS, seed=seed))
    places = {place.task: place for place in plan.assignments}
    for task in case["tasks"]:
        place = places.get(task["id"])
        stood = {"day": place.day, "mechanic": place.mechanic} if place else None
        if stood and place.second:
            stood["second"] = place.second
        task["previous"] = stood
    return case | {"frozen_days": WEEK}


def away(case: Row, seed: int) -> Row:
    """A plan is published, and whoever has most work in its week is away from today on."""
    case = published(case, seed)
    week = [t for t in case["tasks"] if t["previous"] and t["previous"]["day"] < WEEK]
    busiest = Counter(t["previous"]["mechanic"] for t in week).most_common(1)[0][0]
    for mechanic in case["mechanics"]:
        if mechanic["id"] == busiest:
            mechanic["hours"] = [0.0] * WEEK + list(mechanic["hours"][WEEK:])
    for task in week:
        # What cannot stand any more is free of its day, as in the night's own problem.
        if busiest in (task["previous"]["mechanic"], task["previous"].get("second")):
            task["previous"] = None
    return case


CHANGES: dict[str, Callable[[Row, int], Row]] = {
    "twos": in_twos,
    "long": over_days,
    "published": published,
    "away": away,
}
SITE_SHAPES = (*MACHINES, *CHANGES)


def site_shape(name: str, seed: int) -> Row:
    """Return a shop of the site; the seed draws what is changed."""
    if name in MACHINES:
        return site_problem(name)
    return CHANGES[name](site_problem("demo"), seed)
