"""Plan one machine as well as it can be while all others stay.

The best visit of each set of tasks is a minimum over days and mechanics; the best split of all
tasks into visits and waiting tasks is then a dynamic programme over subsets; where not every
subset is offered, the visit that saves most is put in, again and again.  Two visits of one
machine may still meet on a day or in the last part on the shelf: the second is then planned
anew.  Where the tasks have an order, or a visit may last several days, the programme goes through
the visits in the order of their days instead (`visit_chain`), and visits do not meet.  A booking
that two visits lose is charged twice while choosing (not in the plan's price).
"""

from collections.abc import Mapping
from functools import cache

import numpy as np

from scheduling.core.planner.problem import Floats, Spot
from scheduling.core.planner.visits import Slot, Visits

from .draft import Draft
from .visit_chain import cheapest_chain

Split = tuple[tuple[tuple[int, int], ...], ...]


@cache
def splits(count: int) -> Split:
    """Return for each mask over `count` tasks its (part, rest) pairs; part holds the lowest bit."""
    found: list[tuple[tuple[int, int], ...]] = [()]
    for mask in range(1, 1 << count):
        low, pairs, part = mask & -mask, [], mask
        while part:
            if part & low:
                pairs.append((part, mask ^ part))
            part = (part - 1) & mask
        found.append(tuple(pairs))
    return tuple(found)


def replan(draft: Draft, k: int, noise: Floats | None = None) -> None:
    """Put machine `k`, which must be out of the plan, back at the least cost found.

    `noise`, shape (R,), is added to the price of each row, to vary the search.
    """
    visits = draft.machines[k]
    if visits.precedence is not None or visits.last is not None:
        _replan_in_order(draft, k, noise)
        return
    # `left` are the tasks without a place; a day that has a visit of the machine is banned.
    left, banned = (1 << len(visits.tasks)) - 1, np.zeros(draft.case.days, dtype=bool)
    while left and draft.case.mechanics:
        price = draft.price_of_one_more(k)
        price[:, banned] = np.inf
        if noise is not None:
            price += noise[:, None, None]
        # As long as visits do not meet, each set of tasks can be planned by its own best place
        # alone.
        flat = price.reshape(len(visits.masks), -1)
        where = flat.argmin(axis=1)
        best = flat[np.arange(len(where)), where]
        rows = _best_rows(visits, best, left)
        if not rows:
            break
        for row in rows:
            day, crew = divmod(int(where[row]), price.shape[2])
            # The prices were taken before the first visit was put in: of the next ones day and
            # parts are looked at again, and the rest is planned anew where they fail.
            if banned[day] or (row != rows[0] and not _still_fits(draft, visits, row, day)):
                break
            draft.put(k, (row, day, crew))
            banned[day] = True
            left &= ~int(visits.masks[row])
        else:
            if visits.complete:
                break  # what the whole split leaves waiting is cheapest so
    draft.reprice(k)


def _replan_in_order(draft: Draft, k: int, noise: Floats | None) -> None:
    """Do as `replan` for a machine whose visits must keep an order or may last several days."""
    visits = draft.machines[k]
    while draft.waiting(k).any() and draft.case.mechanics:
        left = sum(1 << int(i) for i in np.flatnonzero(draft.waiting(k)))
        # A chain holds forerunners and followers at once; a row alone waits for its forerunners.
        price = draft.beside(k, left if visits.complete else 0)
        price[(visits.masks & ~left) != 0] = np.inf
        if noise is not None:
            price += noise[:, None, None]
        planned = _next_visits(visits, price, left)
        if not planned:
            break
        for slot in planned:
            if slot != planned[0] and not _still_fits(draft, visits, slot[0], slot[1]):
                break
            draft.put(k, slot)
        else:
            if visits.complete:
                break
    draft.reprice(k)


def _next_visits(visits: Visits, price: Floats, left: int) -> list[Slot]:
    if visits.complete:
        return cheapest_chain(visits, price, waiting_price(visits), left)
    flat = price.reshape(len(price), -1)
    where = flat.argmin(axis=1)
    best = flat[np.arange(len(where)), where]
    slots = []
    for row in _best_single_row(visits, best, left):
        day, crew = divmod(int(where[row]), price.shape[2])
        slots.append((row, day, crew))
    return slots


def _still_fits(draft: Draft, visits: Visits, row: int, day: int) -> bool:
    slack = draft.slack(visits.parts)[:, day] if len(visits.parts) else np.zeros(0)
    return bool((visits.need[row] <= slack).all())


def waiting_price(visits: Visits) -> Floats:
    """Return what it costs to let each task wait, shape (n,)."""
    lost = visits.wait_lost @ visits.loss
    return np.asarray(visits.wait_cost + lost + visits.resort * ~visits.may_wait)


def _best_rows(visits: Visits, best: Floats, left: int) -> list[int]:
    if visits.complete:
        return _best_split(visits, best, left)
    return _best_single_row(visits, best, left)


def _best_split(visits: Visits, best: Floats, left: int) -> list[int]:
    """Return the rows of the cheapest split of the tasks in `left`, by ascending mask."""
    wait, price = waiting_price(visits).tolist(), [0.0, *best.tolist()]
    cost, take = [0.0], [0]
    for mask, pairs in enumerate(splits(len(visits.tasks))):
        if not mask:
            continue
        low = (mask & -mask).bit_length() - 1
        least, part_taken = wait[low] + cost[mask & (mask - 1)], 0
        if mask & ~left == 0:
            for part, rest in pairs:
                # The part holds the lowest task, so every split is tried once and not in every
                # order.
                if price[part] + cost[rest] < least:
                    least, part_taken = price[part] + cost[rest], part
        cost.append(least)
        take.append(part_taken)
    rows: list[int] = []
    while left:
        if take[left]:
            rows.append(take[left] - 1)
            left ^= take[left]
        else:
            left &= left - 1
    return rows


def _best_single_row(visits: Visits, best: Floats, left: int) -> list[int]:
    """Return the one row within `left` that saves most against waiting, if any does."""
    # Greedy where not every subset is a row: the exact split needs all of them.
    saving = visits.member @ waiting_price(visits) - best
    saving[(visits.masks & ~left) != 0] = -np.inf
    row = int(saving.argmax())
    return [row] if saving[row] > 0 else []


def put_places(draft: Draft, k: int, places: Mapping[str, Spot]) -> None:
    """Put tasks of machine `k` on the given days with the given people, where free and allowed."""
    visits = draft.machines[k]
    names = [m.id for m in draft.case.mechanics]
    groups: dict[tuple[int, int], int] = {}
    seconds: dict[tuple[int, int], int] = {}
    for i, task in enumerate(visits.tasks):
        spot = places.get(task.id)
        if spot is not None and spot.day < draft.case.days and spot.mechanic in names:
            key = (spot.day, names.index(spot.mechanic))
            groups[key] = groups.get(key, 0) | 1 << i
            if spot.second in names:
                seconds[key] = names.index(spot.second)
    rows = {int(mask): row for row, mask in enumerate(visits.masks)}
    for key, mask in sorted(groups.items()):
        if mask in rows:
            slot = draft.slot_with(k, rows[mask], key, seconds.get(key, -1))
            if slot is not None:
                draft.put(k, slot)
    draft.reprice(k)
