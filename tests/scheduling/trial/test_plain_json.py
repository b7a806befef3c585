"""Dataclasses as JSON and back; what does not fit is named."""

import json
import re
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
        ({"day": "soon"}, "Outer: .*date.* - at `$.day`"),
        ({"day": None}, "Expected `date`, got `null` - at `$.day`"),
        ({"inner": [{"number": "one"}]}, "got `str` - at `$.inner[0].number`"),
        ({"inner": {}}, "Expected `array`, got `object` - at `$.inner`"),
        ({"inner": "no"}, "Expected `array`, got `str` - at `$.inner`"),
        ({"inner": [7]}, "Expected `object`, got `int` - at `$.inner[0]`"),
        ({"pair": [1]}, "of length 2"),
        ({"money": [1]}, "Expected `object`, got `array` - at `$.money`"),
        ({"maybe": "no"}, "got `str` - at `$.maybe`"),
        ({"inner": [{}]}, "missing required field `number` - at `$.inner[0]`"),
    ],
)
def test_what_does_not_fit_is_refused_with_its_place(change, message):
    said = re.escape(message).replace(r"\.\*", ".*")
    with pytest.raises(ValueError, match=said):
        from_plain(Outer, to_plain(FULL) | change)
