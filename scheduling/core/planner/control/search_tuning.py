"""The constants of the search that are judgement and not law, in one place.

They were chosen by trying them on instances of several sizes and shapes (which ones is not
recorded); none of them changes what a plan costs or what is proven, only how fast the search gets
there.  Try a change with ``python -m tests.benchmarks.plan_benchmark``.
"""

from dataclasses import dataclass, fields


@dataclass(frozen=True, slots=True)
class Tuning:
    """How the search spends its time.

    `standing_margin`: fraction of the cost that a plan must save to replace a complete standing
    plan unproven.
    `rounds_before`, `rounds_after`: rounds of ruin and recreate for each machine, before the bound
    and on what a dive finds, and `most_before` and `most_after` at most; few, as the same time
    gains more once the bound has prices.
    `rounds_alone`, `rounds_beside`: rounds of the bound before plans are improved by its prices,
    and rounds beside each group of machines that is planned anew after that, until it is done.
    `telling`: fraction of the programme's money within which the bound has to be near it, for its
    prices to tell which visits are worth a look, where a second worker has nothing else to do.
    `tries`: plans made from the bound's fractional solution with noise, and `tries_meanwhile`
    before it is solved to its end.  `as_good`: fraction of the cost by which a dive's programme
    may be dearer than the best plan.
    `cells`: machines times lanes of mechanic-days that the programme prices while one group is
    solved, by which groups and rounds beside each other are made to end at about the same time;
    `diving`: share of a group's time that steps of a dive beside it may take.
    `whole_yard`: visits up to which the whole yard is given to the exact solver.
    `first_work`, `more_work`: deterministic time of an exact solve at first, and its growth after
    each series of `series` solves a worker.
    `visits`: visits a machine, on average over the yard, that are offered to the solver: those that
    raise the bound least; one number drawn for each group.  All that do not raise it beyond the
    best plan would be exact; but the best plans hold hardly one that raises it much, and with
    fewer visits a machine more machines can be planned at a time.
    `at_pain`: share of the groups that start at a machine drawn by how much its visits raise the
    bound.
    `first_group`, `least_group`: visits offered for one group, at first and at least.
    `growth`, `shrinking`: change of that number after a group that was solved to its end, and
    after one that was not; `leap` after one that took less than a tenth of its time.
    """

    standing_margin: float = 0.005
    rounds_before: int = 3
    most_before: int = 150
    rounds_after: int = 8
    most_after: int = 200
    # The bound comes first for its prices: they say which visits are worth offering to the solver.
    # Rounds and no share of the time: more time then goes the same way and further.
    rounds_alone: int = 15
    rounds_beside: int = 5
    telling: float = 0.35
    tries: int = 5
    tries_meanwhile: int = 1
    as_good: float = 0.03
    # Measured: 0.4 s a group and 0.18 s a round of 427 machines and 56 lanes; 0.3 and 0.045 of 84
    # and 52.
    cells: int = 50_000
    diving: float = 0.5
    whole_yard: int = 3000
    first_work: float = 0.15
    more_work: float = 1.2
    series: int = 10
    visits: tuple[float, ...] = (6, 12, 25, 50, 100)
    at_pain: float = 0.5
    first_group: float = 400.0
    least_group: float = 60.0
    # At rest 1.08^a = 1 / 0.85^b, so about two of three groups are solved to their end.
    growth: float = 1.08
    shrinking: float = 0.85
    leap: float = 1.3

    def __post_init__(self) -> None:
        # `not low <= v <= high` refuses NaN as well.
        for field in fields(self):
            value = getattr(self, field.name)
            low, high = RANGES[field.name]
            values = value if isinstance(value, tuple) else (value,)
            if not values or not all(low <= v <= high for v in values):
                raise ValueError(f"{field.name} must be from {low} to {high}, not {value!r}")


RANGES: dict[str, tuple[float, float]] = {
    "standing_margin": (0, 1),
    "rounds_before": (0, 1e6),
    "most_before": (0, 1e9),
    "rounds_after": (0, 1e6),
    "most_after": (0, 1e9),
    "rounds_alone": (1, 1e6),
    "rounds_beside": (1, 1e6),
    "telling": (0, 1),
    "tries": (0, 1e6),
    "tries_meanwhile": (0, 1e6),
    "as_good": (0, 1),
    "cells": (1, 1e12),
    "diving": (0, 1),
    "whole_yard": (0, 1e9),
    "first_work": (1e-3, 1e6),
    "more_work": (1, 10),
    "series": (1, 1e6),
    "visits": (1, 1e6),
    "at_pain": (0, 1),
    "first_group": (1, 1e9),
    "least_group": (1, 1e9),
    "growth": (1, 10),
    "shrinking": (0.01, 1),
    "leap": (1, 10),
}
"""Least and greatest value of each field."""
