"""The limits that couple patterns (tasks, bays, stock, lost bookings) and their prices."""

from dataclasses import dataclass, replace

import numpy as np

from scheduling.core.planner.problem import Case, Floats, Ints

from .visit_table import VisitTable


@dataclass(frozen=True, slots=True)
class Coupling:
    """Limits of a yard as rows of a linear programme.

    Blocking row i: `block_task[i]` done on `block_day[i]` or later, or waiting, loses
    `block_booking[i]`.  Stock row i: `stock_part[i]` drawn by `stock_day[i]` is at most
    `stock_limit[i]`.  `wait` (T,) and `loss` (J,) are money.  Hours row i: what patterns take of
    regular time on `hour_day[i]`, and what visits take of it elsewhere, is at most `hour_limit[i]`
    and as much of `hour_more[i]` hours of overtime as is paid for, at `more_cost[i]` for all of it.
    """

    block_task: Ints
    block_booking: Ints
    block_day: Ints
    stock_part: Ints
    stock_day: Ints
    stock_limit: Floats
    wait: Floats
    may_wait: Floats
    loss: Floats
    hour_day: Ints
    hour_limit: Floats
    hour_more: Floats
    more_cost: Floats


# Any amount keeps the bound valid, since no plan that counts lets such a task wait; the search's
# far larger price of last resort would only blunt the programme's numbers.
FAR = 10.0
"""A task that may not wait costs this many times the dearest other choice, so that it is kept."""


def coupling_of(rows: VisitTable) -> Coupling:
    """Return what couples a yard's rows: tasks, stock by day, bookings by their first day."""
    blocks: list[tuple[int, int, int]] = []
    task_start = booking_start = 0
    for v in rows.machines:
        for j, booking in enumerate(v.bookings):
            blocks += [
                (task_start + i, booking_start + j, booking.first_day)
                for i, task in enumerate(v.tasks)
                if task.blocks(booking)
            ]
        task_start, booking_start = task_start + len(v.tasks), booking_start + len(v.bookings)
    wait = np.concatenate([np.zeros(0), *(v.wait_cost for v in rows.machines)])
    may_wait = np.concatenate([np.zeros(0, dtype=bool), *(v.may_wait for v in rows.machines)])
    loss = np.concatenate([np.zeros(0), *(v.loss for v in rows.machines)])
    block = np.array(blocks, dtype=np.int64).reshape(-1, 3)
    stock = np.array(_stock_rows(rows), dtype=np.int64).reshape(-1, 2)
    # Dearest wait, dearest booking and dearest visit together are more than any one choice can
    # save.
    far = FAR * (wait.max(initial=0.0) + loss.max(initial=0.0) + _dearest_visit(rows))
    hours = _hour_rows(rows)
    return Coupling(
        block_task=block[:, 0],
        block_booking=block[:, 1],
        block_day=block[:, 2],
        stock_part=stock[:, 0],
        stock_day=stock[:, 1],
        stock_limit=rows.case.stock[stock[:, 0], stock[:, 1]],
        wait=wait + far * ~may_wait,
        may_wait=may_wait,
        loss=loss,
        hour_day=hours,
        **_hours_of(rows.case, hours),
    )


def _hour_rows(rows: VisitTable) -> Ints:
    """Return the days on which visits take hours of others than their mechanic's first day."""
    elsewhere = rows.elsewhere
    return np.unique(elsewhere.day[elsewhere.hours > 0])


def _hours_of(case: Case, days: Ints) -> dict[str, Floats]:
    """Return the limits of the hours rows: regular hours, overtime, and its least price."""
    regular, over = case.regular[days], (case.longest - case.regular)[days]
    # The cheapest overtime of the day, as it is not known who would work it.
    cheapest = np.where(over > 0, case.overtime, np.inf).min(axis=1, initial=np.inf)
    more = over.sum(axis=1)
    return {
        "hour_limit": regular.sum(axis=1) / case.scale,
        "hour_more": more / case.scale,
        "more_cost": np.where(more > 0, more, 0) * np.where(more > 0, cheapest, 0.0),
    }


def _dearest_visit(rows: VisitTable) -> float:
    """Return money that no visit exceeds, its trip and a day of overtime included."""
    case = rows.case
    visit = rows.cost[np.isfinite(rows.cost)].max(initial=0.0)
    over = ((case.longest - case.regular) * case.overtime).max(initial=0.0)
    return float(visit + case.trip_cost.max(initial=0.0) + over)


def _stock_rows(rows: VisitTable) -> list[tuple[int, int]]:
    """Return (part, day) before each arrival and at the end, where the stock can bind."""
    case, last = rows.case, rows.case.days - 1
    wanted = np.zeros(len(case.parts))
    for v in rows.machines:
        np.add.at(wanted, v.parts, v.need[np.isin(v.masks, 1 << np.arange(len(v.tasks)))].sum(0))
    found = []
    for p in np.flatnonzero(wanted):
        # What is drawn only grows between two arrivals, so the last day before each arrival is the
        # tightest and the others follow from it.
        rises = np.flatnonzero(np.diff(case.stock[p]) > 0).tolist()
        found += [(int(p), day) for day in [*rises, last] if case.stock[p, day] < wanted[p]]
    return found


@dataclass(frozen=True, slots=True)
class Prices:
    """Money a row: tasks (T,), mechanic-days (N,), bays (H,), stock, blocking and hours rows, cuts.

    All but `task` are at most 0 at their best, and `clamped` makes them so.
    """

    task: Floats
    mechanic_day: Floats
    bay: Floats
    stock: Floats
    block: Floats
    hour: Floats
    cut: Floats

    def blend(self, other: "Prices", share: float) -> "Prices":
        """Return `share` of these prices and the rest of the other."""
        names = ("task", "mechanic_day", "bay", "stock", "block", "hour", "cut")
        mine, count = self.padded(len(other.cut)), 1 - share
        return Prices(*(share * getattr(mine, n) + count * getattr(other, n) for n in names))

    def padded(self, cuts: int) -> "Prices":
        """Return the prices with 0 for the cuts added since, shape (cuts,)."""
        return replace(self, cut=np.pad(self.cut, (0, cuts - len(self.cut))))

    def clamped(self) -> "Prices":
        """Return the prices with the signs that a valid bound needs."""
        limits = (self.mechanic_day, self.bay, self.stock, self.block, self.hour, self.cut)
        # A task's row is an equation (done once, or waits), so its price may have either sign.
        return Prices(self.task, *(np.minimum(0.0, values) for values in limits))


def hour_prices(coupling: Coupling, prices: Prices, days: int) -> Floats:
    """Return the price of an hour of regular time on each day (at most 0), (H,)."""
    by_day = np.zeros(days)
    by_day[coupling.hour_day] = prices.hour
    return by_day


def visit_prices(rows: VisitTable, coupling: Coupling, prices: Prices) -> Floats:
    """Return what limits pay for each visit on each day (cost minus reduced), shape (R, H)."""
    days = np.arange(rows.case.days)
    by_task = np.repeat(prices.task[:, None], len(days), axis=1)
    # A blocking task done on the booking's first day or later counts against the booking, so from
    # that day on its visits pay the row's price.
    late = days[None, :] >= coupling.block_day[:, None]
    np.add.at(by_task, coupling.block_task, late * prices.block[:, None])
    by_part = np.zeros((len(rows.case.parts), len(days)))
    by_then = days[None, :] <= coupling.stock_day[:, None]
    np.add.at(by_part, coupling.stock_part, by_then * prices.stock[:, None])
    paid = rows.sparse_member @ by_task + rows.sparse_need @ by_part
    paid += rows.halves[:, None] * prices.bay
    return np.asarray(paid)


def fixed_part(coupling: Coupling, prices: Prices, bays: Ints) -> float:
    """Return the bound's part that no visit touches: right-hand sides, waiting, lost bookings."""
    blocked = np.zeros(len(coupling.wait))
    np.add.at(blocked, coupling.block_task, prices.block)
    paid = np.zeros(len(coupling.loss))
    np.add.at(paid, coupling.block_booking, prices.block)
    return float(
        prices.task.sum()
        + prices.bay @ bays
        + prices.stock @ coupling.stock_limit
        + prices.hour @ coupling.hour_limit
        # Overtime beyond what patterns pay for: taken whole where it pays, else left.
        + np.minimum(0.0, coupling.more_cost + prices.hour * coupling.hour_more).sum()
        # Waiting and losing a booking are variables between 0 and 1: at these prices each is taken
        # if that pays and left if not.
        + np.minimum(0.0, coupling.wait - prices.task - blocked).sum()
        + np.minimum(0.0, coupling.loss + paid).sum()
    )
