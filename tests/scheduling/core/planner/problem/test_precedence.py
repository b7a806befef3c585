from itertools import permutations

import pytest

from scheduling.core.planner import InstanceError, read_problem
from scheduling.core.planner.problem.precedence import Precedence, precedence_of, required
from tests.benchmarks.plan_instances import instance, plain_machine, plain_task, plain_yard


def tasks_of(rules, count=4):
    """Tasks a, b, c, ... of one machine; `rules` as {"b": {"after": ["a"]}}."""
    names = "abcdefgh"[:count]
    rows = [plain_task(name, "m", 1.0, 1.0, **rules.get(name, {})) for name in names]
    lists = {"yards": [plain_yard()], "machines": [plain_machine("m", 3)], "tasks": rows}
    return read_problem(instance(3, **lists)).tasks


def test_tasks_without_rules_have_no_order():
    assert precedence_of(list(tasks_of({}).values())) is None


def test_order_reaches_through_and_apart_goes_both_ways():
    rules = {"b": {"after": ["a"]}, "c": {"after": ["b"], "apart": ["d"]}}
    order = precedence_of(list(tasks_of(rules).values()))
    assert order == Precedence(before=(0, 0b1, 0b11, 0), apart=(0, 0, 0b1000, 0b100))
    assert order.first(0b0100) == 0b11
    assert order.first(0b0110) == 0b1


def orders_of_visits(visits, rules):
    """Whether some order of the visits keeps every rule, tried out one by one."""
    for order in permutations(visits):
        at = {name: n for n, visit in enumerate(order) for name in visit}
        if all(at[other] <= at[name] for name, r in rules.items() for other in r.get("after", [])):
            return True
    return False


@pytest.mark.parametrize(
    "rules",
    [
        {"b": {"after": ["a"]}, "c": {"after": ["b"]}, "d": {"after": ["c"]}},
        {"d": {"after": ["a", "b"]}, "c": {"after": ["a"]}},
        {"c": {"after": ["a"]}, "d": {"after": ["c", "b"]}},
    ],
)
def test_a_set_is_allowed_exactly_when_the_rest_alone_can_be_put_around_it(rules):
    order = precedence_of(list(tasks_of(rules).values()))
    for mask in range(1, 16):
        inside = [n for i, n in enumerate("abcd") if mask >> i & 1]
        rest = [[n] for n in "abcd" if n not in inside]
        assert order.allows(mask) == orders_of_visits([inside, *rest], rules)


def test_what_a_task_requires_is_all_that_comes_before_it():
    tasks = tasks_of({"b": {"after": ["a"]}, "c": {"after": ["b"]}})
    assert required(tasks, ["c"]) == {"a", "b", "c"}
    assert required(tasks, ["a", "d"]) == {"a", "d"}


def test_a_long_chain_is_read_and_its_closing_refused():
    names = [f"t{n}" for n in range(2000)]
    rows = [plain_task(n, "m", 1.0, 1.0, after=[m]) for n, m in zip(names[1:], names, strict=False)]
    lists = {"yards": [plain_yard()], "machines": [plain_machine("m", 3)]}
    open_end = [plain_task("t0", "m", 1.0, 1.0), *rows]
    assert len(read_problem(instance(3, **lists, tasks=open_end)).tasks) == 2000
    closed = [plain_task("t0", "m", 1.0, 1.0, after=["t1999"]), *rows]
    with pytest.raises(InstanceError, match=r"t1997 after \.\.\. after t3 after t2 after t1"):
        read_problem(instance(3, **lists, tasks=closed))
