"""Bin packing through the planner: proven optima of classic classes, and what proves them."""

from itertools import combinations
from random import Random

import pytest

from tests.benchmarks.plan_packing import (
    fewest_bins_at_least,
    first_fit_decreasing,
    items,
    main,
    shop_of,
)
from tests.plan_check import check
from tests.scheduling.core.planner.cases import plan
from tests.vectors.published import vector

PROVEN = [
    *(("triplets", count, seed) for count in (15, 30) for seed in (1, 2, 3)),
    *(("uniform", 20, seed) for seed in (1, 2)),
    *(("uniform", 40, seed) for seed in (2, 3)),
]


@pytest.mark.parametrize(("kind", "count", "seed"), PROVEN)
def test_the_optimum_of_a_class_is_found_and_proven(kind, count, seed):
    sizes, capacity = items(kind, count, seed)
    result = plan(shop_of(sizes, capacity))
    assert result.stopped == "optimal"
    assert check(shop_of(sizes, capacity), result.to_dict()).faults == []
    assert result.total == pytest.approx(fewest_bins_at_least(sizes, capacity))


def test_sixty_triplets_take_at_most_one_bin_too_many_where_first_fit_takes_four():
    sizes, capacity = items("triplets", 60, 1)
    result = plan(shop_of(sizes, capacity), 10.0)  # a busy machine's seconds hold less
    assert first_fit_decreasing(sizes, capacity) == 24
    assert result.bound == pytest.approx(20)
    assert result.total <= 21


@pytest.mark.parametrize("seed", range(5))
def test_triplets_fill_every_bin_to_the_brim(seed):
    sizes, capacity = items("triplets", 120, seed)
    assert sum(sizes) == 40 * capacity
    assert all(capacity / 4 <= size < capacity / 2 for size in sizes)
    assert fewest_bins_at_least(sizes, capacity) == 40


def fewest_bins(sizes, capacity):
    """The least number of bins, by all subsets: a set takes a bin more than what it leaves."""
    every = range(len(sizes))
    need = {frozenset(): 0}
    for count in range(1, len(sizes) + 1):
        for chosen in map(frozenset, combinations(every, count)):
            first = min(chosen)
            rest = sorted(chosen - {first})
            fits = (
                frozenset({first, *more})
                for size in range(len(rest) + 1)
                for more in combinations(rest, size)
                if sizes[first] + sum(sizes[m] for m in more) <= capacity
            )
            need[chosen] = 1 + min(need[chosen - full] for full in fits)
    return need[frozenset(every)]


@pytest.mark.parametrize("seed", range(8))
def test_between_the_bound_and_first_fit_lies_the_optimum_and_the_planner_finds_it(seed):
    """Sizes near a third and a half of a bin, of which the sum alone says little."""
    rng = Random(seed)
    sizes = [rng.choice([26, 34, 35, 40, 51, 52, 60, 71]) for _ in range(8)]
    best = fewest_bins(sizes, 100)
    assert fewest_bins_at_least(sizes, 100) <= best <= first_fit_decreasing(sizes, 100)
    assert plan(shop_of(sizes, 100)).total == pytest.approx(best)


def test_first_fit_decreasing_and_the_bound_give_the_published_worst_case():
    """SCH-06: 11 bins against 9."""
    given, expected = vector("SCH-06")
    sizes = [int(size) for size, count in given["items"].items() for _ in range(count)]
    assert first_fit_decreasing(sizes, given["capacity"]) == expected["FFD_bins"]
    assert fewest_bins_at_least(sizes, given["capacity"]) == expected["optimal_bins"]


def test_the_command_prints_a_row_for_each_packing(capsys):
    assert main(["--seeds", "3", "--seconds", "3", "--workers", "1", "--most-items", "60"]) == 0
    assert "| triplets 60, 3 | 20 | 24 |" in capsys.readouterr().out
