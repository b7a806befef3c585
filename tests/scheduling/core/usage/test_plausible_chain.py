from itertools import combinations

import numpy as np
import pytest

from scheduling.core.usage.plausible import plausible_link
from scheduling.core.usage.plausible_chain import SWAP_COST, largest_chain

CEILING = 10.0


def brute_force(day, value):
    """Return the best worth over all subsets of one stretch: kept readings less swaps."""
    best = 0.0
    for size in range(1, day.size + 1):
        for rows in combinations(range(day.size), size):
            at = np.array(rows)
            fits = plausible_link(np.diff(value[at]), np.diff(day[at]), CEILING)
            best = max(best, size - SWAP_COST * np.sum(~fits))
    return best


def worth(kept, broken):
    return kept.sum() - SWAP_COST * broken.sum()


@pytest.mark.parametrize("seed", range(30))
def test_chain_is_as_good_as_the_best_of_all_subsets(seed):
    rng = np.random.default_rng(seed)
    day = np.sort(rng.uniform(0, 60, 9))
    value = np.cumsum(rng.exponential(20, 9))
    wrong = rng.random(9) < 0.3
    value[wrong] = rng.uniform(0, 400, wrong.sum())
    order = np.lexsort((value, day))
    run = np.zeros(9, dtype=int)
    kept, broken = largest_chain(run, day[order], value[order], np.full(9, CEILING))
    assert worth(kept, broken) == pytest.approx(brute_force(day[order], value[order]))


def test_stretches_do_not_reach_into_each_other():
    run = np.repeat([0, 1], 4)
    day = np.tile(np.arange(4.0), 2)
    value = np.concatenate([np.arange(4.0) + 500, np.arange(4.0)])
    kept, broken = largest_chain(run, day, value, np.full(8, CEILING))
    assert kept.all()
    assert not broken.any()


def test_a_bad_reading_far_from_others_leaves_the_rest_alone():
    day = np.arange(100.0)
    value = day * 5
    value[40] = 9000.0
    kept, broken = largest_chain(np.zeros(100, dtype=int), day, value, np.full(100, CEILING))
    assert np.flatnonzero(~kept).tolist() == [40]
    assert not broken.any()
