"""What each week is short of: which skill, mechanic or bay, and what a little more is worth.

Weeks are days 0 to 6, 7 to 13 and so on.  A mechanic's worth is that of an hour more on the best
day of the week; a skill's is the mean of those who hold it, on the best day; a bay's is that of
half a bay-day.  They are shadow prices of the bound (`shadow_prices`), not promises: the plan with
the hour saves at most that much beyond what it may be dearer than the bound already.  A day that
the plan leaves room on needs no hour more, whatever the bound's prices say of it; and a skill is
short where it is what its holders' time goes into, else it is they who are short.
"""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from scheduling.core.planner.answer import (
    CENT,
    WEEK,
    Bar,
    Bottleneck,
    Supply,
    Utilisation,
    utilisation_of,
)
from scheduling.core.planner.bound import HALVES, ShadowPrices
from scheduling.core.planner.plan import Places
from scheduling.core.planner.problem import Floats, Problem

# With MAINLY a judgement: in a day with a tenth left hardly any visit finds room.
FULL = 0.9
"""Share of the hours or bays in use from which something is called full."""

MAINLY = 0.5
"""Share of its holders' hours from which a skill is what their time goes into."""


def bottlenecks(
    problem: Problem, places: Places, shadow: ShadowPrices | None
) -> tuple[Bottleneck, ...]:
    """Return the bottleneck of each seven days of a problem with exactly one yard."""
    full = utilisation_of(problem, places)
    (yard,) = problem.yards
    weeks = []
    for first in range(0, problem.horizon_days, WEEK):
        last = min(first + WEEK, problem.horizon_days) - 1
        rows = list(_rows(problem, full, shadow, slice(first, last + 1)))
        scarce = _scarce(rows)
        others = tuple(row for row in rows if row is not scarce)
        weeks.append(Bottleneck(yard, first // WEEK, first, last, scarce, others))
    return tuple(weeks)


def _rows(
    problem: Problem, full: Utilisation, shadow: ShadowPrices | None, week: slice
) -> Iterator[Supply]:
    """Yield bays, skills and mechanics of a week, each with its worth."""
    crew = list(problem.mechanics.values())
    for bar in full.bays.values():
        yield _row("bay", bar, bar, week, None if shadow is None else shadow.bay / HALVES)
    for name, bar in full.skills.items():
        holders = [w for w, m in enumerate(crew) if name in m.skills]
        busy = _together(bar, [full.mechanics[crew[w].id] for w in holders])
        yield _row("skill", bar, busy, week, _mean_worth(problem, shadow, holders))
    for w, mechanic in enumerate(crew):
        hours = None if shadow is None else shadow.hour[:, w]
        own = full.mechanics[mechanic.id]
        yield _row("mechanic", own, own, week, hours)


def _together(skill: Bar, holders: list[Bar]) -> Bar:
    """Return a skill's bar with all that its holders do."""
    used = (sum(day) for day in zip(*(h.used for h in holders), strict=True))
    return replace(skill, used=tuple(used) or skill.used)


def _mean_worth(problem: Problem, shadow: ShadowPrices | None, holders: list[int]) -> Floats | None:
    """Return the mean worth of an hour of those of the `holders` who work, by day (H,)."""
    if shadow is None:
        return None
    hours = [m.hours for m in problem.mechanics.values()]
    there = np.array(hours).reshape(len(hours), problem.horizon_days)[holders] > 0
    total = np.where(there, shadow.hour[:, holders].T, 0.0).sum(axis=0)
    return np.asarray(total / np.maximum(1, there.sum(axis=0)))


def _row(kind: str, bar: Bar, busy: Bar, week: slice, worth: Floats | None) -> Supply:
    """Return a bar's week; `busy` tells how full the days are that an hour more would be on."""
    used, available = sum(bar.used[week]), sum(bar.available[week])
    if worth is None:
        return Supply(kind, bar.name, used, available)
    full = np.array(busy.used) >= FULL * np.array(busy.available)
    # Or every skill of a mechanic who is busy with one thing would be called short.
    mainly = kind != "skill" or used >= MAINLY * sum(busy.used[week])
    short = np.where(full & mainly, worth, 0.0)
    day = week.start + int(short[week].argmax())
    return Supply(kind, bar.name, used, available, float(short[day]), day)


def _scarce(rows: list[Supply]) -> Supply | None:
    """Return the row worth most.

    Of equals it is a bay, else the skill that most people hold, else the mechanic whose skills
    they all are.
    """
    known = [row for row in rows if row.worth is not None]
    if not known:
        return _fullest(rows)
    most = max(row.worth or 0.0 for row in known)
    if most < CENT:
        return None
    best = [row for row in known if (row.worth or 0.0) > most - CENT]
    skills = [row for row in best if row.kind == "skill"]
    # The skill with most hours is the widest: any of its holders could give the hour.
    widest = max((row.available for row in skills), default=0.0)
    if best[0].kind == "bay" or sum(row.available == widest for row in skills) == 1:
        return next(row for row in best if row.kind == "bay" or row.available == widest)
    return best[-1]


def _fullest(rows: list[Supply]) -> Supply | None:
    full = [r for r in rows if r.kind != "skill" and r.used > FULL * r.available > 0]
    return max(full, key=lambda r: r.used / r.available, default=None)
