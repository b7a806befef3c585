"""Services that include others: a 500 h service covers the 250 h and the 50 h.

Doing A satisfies B, and if B satisfies C then so does A. Two services that cover one another (the
same work under two names) are allowed.
"""

import numpy as np
from scipy import sparse

from scheduling.core.intervals.interval_rules import ServicesDone
from scheduling.core.intervals.line_arrays import Ints


def covering(pairs: Ints, count: int) -> Ints:
    """Return all pairs (A, B), A not B, such that doing A satisfies B, shape (q, 2), sorted.

    pairs: int, shape (p, 2), each "doing the first satisfies the second", numbers 0 to count-1,
    of services or of lines. A number outside raises ValueError.
    """
    pairs = np.asarray(pairs, dtype=np.int64).reshape(-1, 2)
    outside = (pairs < 0) | (pairs >= count)
    if outside.any():
        raise ValueError(f"covers names number {pairs[outside][0]}, but there are 0 to {count - 1}")
    ones = np.ones(len(pairs), dtype=np.bool_)
    # sparse, since a fleet's lines are many and each covers a handful of others at most
    reach = sparse.csr_array((ones, (pairs[:, 0], pairs[:, 1])), shape=(count, count))
    while True:
        # each round doubles the length of the chains that are followed
        further = (reach + reach @ reach).astype(np.bool_)
        if further.nnz == reach.nnz:
            break
        reach = further
    upper, lower = reach.nonzero()
    order = np.lexsort((lower, upper))
    closed = np.column_stack([upper, lower])[order].astype(np.int64)
    # two names for one work reach themselves through one another
    return closed[closed[:, 0] != closed[:, 1]]


def with_covered(services: ServicesDone, closed: Ints) -> ServicesDone:
    """Return the services with those that they cover beside them, sorted by line and day.

    closed: pairs of lines from ``covering``, upper line first, shape (q, 2). A covered service
    takes the day and life of the one that was done; where the two lines count on different meters
    that life is not the covered line's own.
    """
    closed = closed[np.argsort(closed[:, 0], kind="stable")]
    begin = np.searchsorted(closed[:, 0], services.line, side="left")
    many = np.searchsorted(closed[:, 0], services.line, side="right") - begin
    done = np.repeat(np.arange(len(services.line)), many)
    within = np.arange(len(done)) - np.repeat(np.cumsum(many) - many, many)
    line = np.concatenate([services.line, closed[begin[done] + within, 1]])
    day = np.concatenate([services.day, services.day[done]])
    life = np.concatenate([services.life, services.life[done]])
    order = np.lexsort((life, day, line))
    return ServicesDone(line[order], day[order], life[order])
