"""Which sets of a machine's tasks may share a visit.

A set is a bit mask over the machine's tasks.  Up to `ALL_SUBSETS` tasks every set is offered;
beyond that 2^n bites, and the sets are those that a shop would form: single tasks, pairs, tasks
that are neighbours in due order, tasks of one skill, and what already stands together.
"""

from collections.abc import Iterable
from itertools import combinations

# 127 sets: beyond it tables by subset, day and crew double with every task.
ALL_SUBSETS = 7
"""Tasks on one machine up to which every subset becomes a visit."""


def every_subset(count: int) -> list[int]:
    """Return all non-empty masks over `count` tasks."""
    return list(range(1, 1 << count))


# So that one machine with many tasks does not take the time of all others.
MOST_SUBSETS = 400
"""Sets offered for one machine, beyond those that must be there."""


def likely_subsets(count: int, groups: Iterable[int]) -> list[int]:
    """Return the masks offered for tasks in due order; `groups` are masks that belong together."""
    runs = [mask for start in range(count) for mask in _runs_from(start, count)]
    kept = sorted({mask for mask in groups if mask})
    needed = {1 << task for task in range(count)} | set(kept)
    # In order of likelihood, as the list is cut off: neighbours in due order, pairs, then groups
    # widened or narrowed by neighbours.
    wished = [
        *runs,
        *((1 << a) | (1 << b) for a, b in combinations(range(count), 2)),
        *(group | run for group in kept for run in runs),
        *(group & run for group in kept for run in runs),
    ]
    more = [mask for mask in dict.fromkeys(wished) if mask and mask not in needed]
    return sorted(needed | set(more[:MOST_SUBSETS]))


def _runs_from(start: int, count: int) -> list[int]:
    """Return the masks of neighbours that begin at `start`."""
    return [((1 << length) - 1) << start for length in range(1, count - start + 1)]
