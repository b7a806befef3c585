"""Every visit one machine could make, with all that happens inside it priced beforehand.

A visit is a machine and a day, done by one mechanic.  For each set of the machine's tasks (a
row), each day and each mechanic who holds the skills, the price of the visit is a plain number:
shared set-ups, half or whole day of downtime, overdue and waste of each task, change against the
previous plan.  What couples machines (hours, overtime, trips, bays, stock) is left to `load`.
"""

from dataclasses import dataclass

import numpy as np

from . import ticks
from .case import Case, Flags, Floats, Ints
from .due import expected_early, expected_late, knots
from .entities import Booking, Machine, Task
from .rules import allowed_days, allowed_mechanics
from .subsets import ALL_SUBSETS, every_subset, likely_subsets


@dataclass(frozen=True, slots=True)
class Visits:
    """One machine's possible visits: R rows (sets of its n tasks), H days, W mechanics.

    `member` (R, n) tells the tasks of a row and `masks` (R,) the same as bits; `time` (R,) is in
    ticks and `time_low` rounds down for the bound; `halves` (R,) are half days of bay and
    downtime; `bare` (R, H) is money by day as if no rule forbade any and nobody minded a change;
    `cost` (R, H, W) is money, infinite where a rule forbids the visit; `lost`
    (R, H, J) marks the bookings that cannot go out then, worth `loss` (J,).  `parts` are indices
    into the yard's stock and `need` (R, len(parts)) quantities.  `wait_cost` (n,) prices putting
    a task off past the horizon, which loses `wait_lost` (n, J) and, unless `may_wait`, costs
    `resort` on top in the search.
    """

    machine: Machine
    tasks: tuple[Task, ...]
    site: int
    masks: Ints
    member: Flags
    time: Ints
    time_low: Ints
    halves: Ints
    bare: Floats
    cost: Floats
    bookings: tuple[Booking, ...]
    lost: Flags
    loss: Floats
    parts: Ints
    need: Floats
    wait_cost: Floats
    wait_lost: Flags
    may_wait: Flags
    resort: float

    @property
    def complete(self) -> bool:
        """Tell whether every subset of the tasks is a row."""
        return len(self.masks) == (1 << len(self.tasks)) - 1


def visits_of(case: Case) -> list[Visits]:
    """Return the visits of each machine of the yard that has a task, in the machines' order."""
    by_machine: dict[str, list[Task]] = {}
    for task in case.problem.tasks.values():
        by_machine.setdefault(task.machine, []).append(task)
    return [
        machine_visits(case, machine, by_machine[machine.id])
        for machine in case.problem.machines.values()
        if machine.id in by_machine
    ]


def machine_visits(
    case: Case, machine: Machine, tasks: list[Task], fixed_share: float = 1.0
) -> Visits:
    """Return the visits of `machine` for `tasks`.

    With `fixed_share` below 1 only that share of what a visit costs as such (its own hours and
    money, set-ups, downtime, bay) is charged: a relaxation, used where the tasks of a machine
    are split among several and every visit may then be charged up to 1/share times (`bound`).
    """
    tasks = sorted(tasks, key=lambda t: (t.due.p50, t.id))
    weights, days = case.problem.weights, case.days
    masks = np.array(_masks(tasks), dtype=np.int64)
    member = (masks[:, None] >> np.arange(len(tasks))) & 1 == 1
    hours, setup_cost = _inside(case, machine, tasks, member)
    halves = np.where(hours <= weights.half_day_hours + ticks.TOLERANCE, 1, 2)
    work = member @ np.array([t.hours for t in tasks])
    charged = work + fixed_share * (hours - work)
    fixed = machine.visit_cost + setup_cost
    downtime = halves[:, None] / 2 * machine.day_rate * np.array(machine.demand)[None, :]
    early_late = _timing_cost(case, tasks)
    money = member @ early_late[:, :days] + fixed_share * (fixed[:, None] + downtime)
    cost = money[:, :, None] + np.tensordot(member, _change_cost(case, tasks), 1)
    cost[_forbidden(case, machine, tasks, member)] = np.inf
    bookings = tuple(b for b in machine.bookings if any(t.blocks(b) for t in tasks))
    lost = _lost(tasks, bookings, days)
    parts, need = _need(case, tasks)
    alone = np.array([np.flatnonzero(masks == 1 << i)[0] for i in range(len(tasks))])
    mean_downtime = halves[alone] / 2 * machine.day_rate * float(np.mean(machine.demand))
    wait = early_late[:, days] + weights.deferred_visit_share * (fixed[alone] + mean_downtime)
    return Visits(
        machine=machine,
        tasks=tuple(tasks),
        site=-1 if machine.site is None else [s.id for s in case.sites].index(machine.site),
        masks=masks,
        member=member,
        time=np.array([ticks.up(h, case.scale) for h in charged]),
        time_low=np.array([ticks.down(h, case.scale) for h in charged]),
        halves=halves,
        bare=money,
        cost=cost,
        bookings=bookings,
        lost=np.tensordot(member.astype(float), lost[:, :days].astype(float), 1) > 0,
        loss=np.array([b.value + weights.goodwill_cost for b in bookings]),
        parts=parts,
        need=member @ need,
        wait_cost=wait + np.array([weights.change_cost if t.previous else 0.0 for t in tasks]),
        wait_lost=lost[:, days],
        may_wait=np.array([case.problem.may_wait(t) for t in tasks]),
        resort=case.resort,
    )


def _masks(tasks: list[Task]) -> list[int]:
    if len(tasks) <= ALL_SUBSETS:
        return every_subset(len(tasks))
    groups: dict[object, int] = {}
    for i, task in enumerate(tasks):
        keys = [task.skill, task.pin and ("day", task.pin.day), task.previous]
        keys.append("limit" if task.limit_day is not None else None)
        for key in keys:
            if key is not None:
                groups[key] = groups.get(key, 0) | 1 << i
    everything = (1 << len(tasks)) - 1
    return likely_subsets(len(tasks), [*groups.values(), everything])


def _inside(
    case: Case, machine: Machine, tasks: list[Task], member: Flags
) -> tuple[Floats, Floats]:
    """Return hours and set-up money of each row; every set-up needed counts once."""
    hours = machine.visit_hours + member @ np.array([t.hours for t in tasks])
    money = np.zeros(len(member))
    for setup in case.problem.setups.values():
        needs = np.array([setup.id in t.setups for t in tasks])
        if needs.any():
            used = (member & needs).any(axis=1)
            hours += setup.hours * used
            money += setup.cost * used
    return hours, money


def _timing_cost(case: Case, tasks: list[Task]) -> Floats:
    """Return overdue and waste money of each task on each day, the deferred day last: (n, H+1)."""
    last = case.days + case.problem.weights.deferred_days
    when = np.append(np.arange(case.days, dtype=float), last)
    edges = knots([t.due for t in tasks])
    overdue = np.array([[t.overdue_cost_per_day] for t in tasks]) * expected_late(edges, when)
    waste = np.array([[t.waste_cost_per_day] for t in tasks]) * expected_early(edges, when)
    return np.asarray(overdue + waste)


def _change_cost(case: Case, tasks: list[Task]) -> Floats:
    weights = case.problem.weights
    money = np.zeros((len(tasks), case.days, len(case.mechanics)))
    for i, task in enumerate(tasks):
        if task.previous is not None:
            money[i] = weights.change_cost
            if task.previous.day < case.days:
                same = np.array([m.id == task.previous.mechanic for m in case.mechanics])
                kept = np.where(same, 0.0, weights.change_cost * weights.mechanic_change_share)
                money[i, task.previous.day] = kept
    return money


def _forbidden(case: Case, machine: Machine, tasks: list[Task], member: Flags) -> Flags:
    shut = np.array([~allowed_days(case.problem, machine, t) for t in tasks])
    unable = np.array([~allowed_mechanics(case.problem, case.mechanics, t) for t in tasks])
    rows = member.astype(float)
    return ((rows @ shut > 0)[:, :, None] | (rows @ unable > 0)[:, None, :]) | (case.longest == 0)[
        None
    ]


def _lost(tasks: list[Task], bookings: tuple[Booking, ...], days: int) -> Flags:
    """Return whether task i done on a day (or, last, not at all) loses booking j: (n, H+1, J)."""
    lost = np.zeros((len(tasks), days + 1, len(bookings)), dtype=bool)
    for j, booking in enumerate(bookings):
        for i, task in enumerate(tasks):
            if task.blocks(booking):
                lost[i, min(booking.first_day, days) :, j] = True
    return lost


def _need(case: Case, tasks: list[Task]) -> tuple[Ints, Floats]:
    wanted = sorted({case.parts.index(p) for t in tasks for p, _ in t.parts})
    need = np.zeros((len(tasks), len(wanted)))
    for i, task in enumerate(tasks):
        for part, quantity in task.parts:
            need[i, wanted.index(case.parts.index(part))] += quantity
    return np.array(wanted, dtype=np.int64), need
