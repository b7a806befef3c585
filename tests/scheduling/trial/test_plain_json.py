"""Dataclasses as JSON and back; what does not fit is named."""

import json
from dataclasses import dataclass, field
from datetime import date

import pytest

from scheduling.core.planner import Result, RunLimits, read_problem, solve
from scheduling.trial.plain_json import from_plain, to_plain
from tests.benchmarks.plan_instances import small


@dataclass(frozen=True)
class Inner:
    number: int


@dataclass(frozen=True)
class Outer:
    day: date
    inner: tuple[Inner, ...]
    pair: tuple[int, str]
    money: dict[str, float] = field(default_factory=dict)
    by_day: dict[int, str] = field(default_factory=dict)
    maybe: Inner | None = None


FULL = Outer(date(2026, 3, 2), (Inner(1), Inner(2)), (3, "x"), {"a": 1.5}, {4: "y"}, Inner(5))


@pytest.mark.parametrize(
    "value",
    [
        FULL,
        Outer(date(2026, 3, 2), (), (3, "x")),
        Outer(date(2026, 3, 2), (), (3, "x"), {"most": float("inf"), "least": float("-inf")}),
    ],
)
def test_what_is_kept_as_json_comes_back_the_same(value):
    kept = json.dumps(to_plain(value), allow_nan=False)
    assert from_plain(Outer, json.loads(kept)) == value


def test_a_plan_of_the_planner_comes_back_the_same():
    result = solve(read_problem(small(1)), RunLimits(seconds=5))
    assert from_plain(Result, json.loads(json.dumps(to_plain(result)))) == result


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"day": "soon"}, "day: 'soon' is no day"),
        ({"day": None}, "day: None is no day"),
        ({"inner": [{"number": "one"}]}, "number: 'one' does not fit"),
        ({"inner": {}}, "inner: must be a list"),
        ({"inner": [7]}, "inner: must be an object"),
        ({"pair": [1]}, "pair: must hold 2 values"),
        ({"money": [1]}, "money: must be an object"),
        ({"maybe": "no"}, "maybe: must be an object"),
        ({"inner": [{}]}, "number"),
    ],
)
def test_what_does_not_fit_is_refused_by_name(change, message):
    with pytest.raises(ValueError, match=message):
        from_plain(Outer, to_plain(FULL) | change)
