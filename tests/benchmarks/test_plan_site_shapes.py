"""The changes that make shapes of the site's shop, tried on a small invented one."""

import pytest

from scheduling.core.planner import read_problem
from tests.benchmarks import plan_site_shapes as shapes
from tests.benchmarks.plan_instances import yard


@pytest.fixture
def case(monkeypatch):
    monkeypatch.setattr(shapes, "SECONDS", 1.0)
    made = yard(machines=30, mechanics=2, days=14, seed=1, load=0.6)
    for mechanic in made["mechanics"]:
        mechanic["skills"] = sorted({*mechanic["skills"], "any"})
    return made


def test_a_third_of_the_work_is_for_two(case):
    made = shapes.in_twos(case, 1)
    assert sum(bool(t.get("second")) for t in made["tasks"]) == len(case["tasks"]) // 3 > 0
    assert not any(t.get("second") for t in case["tasks"])
    read_problem(made)


def test_a_tenth_of_the_work_goes_over_days(case):
    made = shapes.over_days(case, 1)
    long = [t for t in made["tasks"] if t.get("several_days")]
    assert len(long) == len(case["tasks"]) // 10 > 0
    assert all(10 <= t["hours"] <= 18 for t in long)
    read_problem(made)


def test_whoever_is_away_has_no_published_work(case):
    made = shapes.away(case, 1)
    (gone,) = [m for m in made["mechanics"] if not any(m["hours"][: shapes.WEEK])]
    held = [t["previous"] for t in made["tasks"] if t["previous"]]
    week = [spot for spot in held if spot["day"] < shapes.WEEK]
    assert week
    assert gone["id"] not in {spot["mechanic"] for spot in week}
    assert made["frozen_days"] == shapes.WEEK
    read_problem(made)
