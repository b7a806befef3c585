"""The cheapest sequence of visits of one machine, when order or long visits tie them together.

Dynamic programming over sets of tasks and days: ``least[S][d]`` is the least money for doing the
tasks of S in visits that have ended before day d.  The last visit of S is tried as every subset B
of S whose forerunners lie in the rest:

    least[S][e + 1] = min over B, first day s, last day e of  least[S - B][s] + price[B, s, e]

and least[S] does not rise with d.  Tasks that no set holds wait, and so do their followers.
"""

from dataclasses import dataclass

import numpy as np

from scheduling.core.planner.problem import Floats, Ints, Precedence
from scheduling.core.planner.visits import Slot, Visits


@dataclass(frozen=True, slots=True)
class _Options:
    """The visits of one row worth trying: money, first and last day, and crew of each."""

    money: Floats
    first: Ints
    last: Ints
    crew: Ints


@dataclass(slots=True)
class _State:
    """For one set: least money by free day (H+1,), and the last visit's row and option there."""

    least: Floats
    row: Ints
    option: Ints


def cheapest_chain(visits: Visits, price: Floats, waiting: Floats, left: int) -> list[Slot]:
    """Return the cheapest visits for the tasks of mask `left`, in the order of their days.

    `price` (R, H, C) is infinite where a visit cannot be; `waiting` (n,) is the money for letting
    a task wait.
    """
    options = {row: _options(visits, price, row) for row in _useful(price)}
    # Subsets of a mask are smaller numbers, so in ascending order each rest is there when it is
    # needed.
    states = {0: _start(price.shape[1])}
    for mask in _submasks(left)[1:]:
        states[mask] = _state(visits, states, options, (mask, left))
    best = min(
        (mask for mask in states if np.isfinite(states[mask].least[-1])),
        key=lambda m: states[m].least[-1] + waiting[_members(left & ~m, len(waiting))].sum(),
    )
    return _traced(visits, states, options, best)


def _useful(price: Floats) -> list[int]:
    return np.flatnonzero(np.isfinite(price).any(axis=(1, 2))).tolist()


def _members(mask: int, count: int) -> list[int]:
    return [i for i in range(count) if mask >> i & 1]


def _submasks(left: int) -> list[int]:
    """Return 0 and all masks within `left`, ascending."""
    found, mask = [0], left
    while mask:
        found.append(mask)
        mask = (mask - 1) & left
    return sorted(found)


def _start(days: int) -> _State:
    none = np.full(days + 1, -1)
    return _State(np.zeros(days + 1), none, none)


def _options(visits: Visits, price: Floats, row: int) -> _Options:
    """Return a row's visits: the cheapest crew of each day, or every crew where they last apart."""
    if visits.last is None:
        # Where visits end on the day they begin, only the cheapest crew of a day can matter.
        crew = price[row].argmin(axis=1)
        first = np.flatnonzero(np.isfinite(price[row].min(axis=1)))
        return _Options(price[row, first, crew[first]], first, first, crew[first])
    first, crew = np.nonzero(np.isfinite(price[row]))
    return _Options(price[row, first, crew], first, visits.last[row, first, crew], crew)


def _state(
    visits: Visits, states: dict[int, _State], options: dict[int, _Options], sets: tuple[int, int]
) -> _State:
    mask, left = sets
    days = visits.cost.shape[1]
    state = _State(np.full(days + 1, np.inf), np.full(days + 1, -1), np.full(days + 1, -1))
    part = mask
    while part:
        row, rest = part - 1, mask ^ part
        # Row = mask - 1: every subset is a row here (`complete`).
        if row in options and _ready(visits.precedence, part, left & ~rest):
            _try_last(state, states[rest].least, row, options[row])
        part = (part - 1) & mask
    _carry(state)
    return state


def _ready(order: Precedence | None, part: int, undone: int) -> bool:
    """Tell whether nothing that must be done before `part` is `undone`."""
    return order is None or not order.first(part) & undone


def _try_last(state: _State, before: Floats, row: int, options: _Options) -> None:
    """Let `row` be the last visit, after all others are done at `before` money by day."""
    money = before[options.first] + options.money
    if options.last is options.first:
        # One visit a day, each the cheapest of its day: nothing to sort.
        at = options.first + 1
        chosen = np.flatnonzero(money < state.least[at])
        at = at[chosen]
        state.least[at], state.row[at], state.option[at] = money[chosen], row, chosen
        return
    # Sorted by last day and then money, the first of each last day is its cheapest.
    order = np.lexsort((money, options.last))
    ends, where = np.unique(options.last[order], return_index=True)
    chosen = order[where]
    better = money[chosen] < state.least[ends + 1]
    at, chosen = ends[better] + 1, chosen[better]
    state.least[at], state.row[at], state.option[at] = money[chosen], row, chosen


def _carry(state: _State) -> None:
    """Let a set that is done by one day be done by each later day as well."""
    days = np.arange(len(state.least))
    falls = np.minimum.accumulate(state.least)
    # For each day the last one on which the least money so far was reached, to take row and option
    # from there.
    source = np.maximum.accumulate(np.where(state.least <= falls, days, 0))
    state.least = falls
    state.row, state.option = state.row[source], state.option[source]


def _traced(
    visits: Visits, states: dict[int, _State], options: dict[int, _Options], mask: int
) -> list[Slot]:
    slots: list[Slot] = []
    day = visits.cost.shape[1]
    while mask:
        state = states[mask]
        row, option = int(state.row[day]), int(state.option[day])
        first = int(options[row].first[option])
        slots.append((row, first, int(options[row].crew[option])))
        mask, day = mask ^ (row + 1), first
    return slots[::-1]
