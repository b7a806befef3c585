"""The date is asked where requests and commands come in, once, and handed down."""

import ast
from functools import cache
from pathlib import Path

from tests.parsed_code import EDGES, ROOT, by_file, modules, nodes, parsed

DATES = {"now", "today", "utcnow", "localdate", "localtime", "time"}
"""What tells the date and the hour."""

STOPWATCHES = {"perf_counter", "monotonic"}
"""What tells only how long something took."""

DATE_READERS = {
    "fleet/admin/logged_sheets.py",  # a sheet is a page of Django's form site
    "fleet/admin/service_sheets.py",  # the same
    "fleet/once.py",  # middleware stands before the pages
    "fleet/sign_in_throttle.py",  # signals of signing in carry no time
    "scheduling/worker/receivers.py",  # the signal that facts changed carries no time
}
"""Where the date is asked besides the edges."""

STOPWATCH_READERS = {
    "scheduling/actions/live_again.py",  # how long a slice of a past may take
    "scheduling/core/planner/control/watch.py",  # the watch as a value; tests hand their own in
    "scheduling/due/refresh.py",  # seconds of each stage, for the report
    "scheduling/management/commands/nightly.py",
    "scheduling/management/commands/solve_plan.py",  # what is left of the seconds asked for
    "scheduling/plan/search_stages.py",  # the watch as a value
    "scheduling/plan/shop_plan.py",  # seconds of the search, for the report
    "scheduling/serving/lock.py",  # how long to wait for what a killed site left behind
    "scheduling/serving/programs.py",  # how long to wait for a program to start
    "scheduling/serving/steps.py",  # seconds of each step, as they are told
    "scheduling/serving/supervisor.py",  # restarts within a time; how long to wait for an end
    "scheduling/serving/warden.py",  # how long orphans may take to end
    "scheduling/worker/night.py",  # seconds of each stage, for the report
}
"""Where durations are measured."""


def clocks_named(node: ast.AST) -> list[str]:
    """Return each way of asking a clock that stands in a piece of code, called or handed on."""
    found = []
    for part in ast.walk(node):
        if isinstance(part, ast.Attribute) and isinstance(part.value, ast.Name):
            if part.value.id in {"datetime", "date", "time", "timezone"}:
                found.append(part.attr)
        elif isinstance(part, ast.Name):
            found.append(part.id if part.id in STOPWATCHES | {"localdate", "localtime"} else "")
    return [name for name in found if name in DATES | STOPWATCHES]


@cache
def clocks_of(path: Path) -> frozenset[str]:
    return frozenset(clocks_named(parsed(path)))


def readers(clocks: set[str]) -> set[str]:
    """Return the files of both halves that ask some clocks."""
    return {
        str(path.relative_to(ROOT))
        for half in ("fleet", "scheduling")
        for path in modules(half)
        if "migrations" not in path.parts and clocks & clocks_of(path)
    }


def test_the_date_is_asked_on_the_edges_alone_and_handed_down():
    edges = {str(path.relative_to(ROOT)) for path in EDGES}
    assert readers(DATES) - edges == DATE_READERS


def test_only_these_measure_how_long_something_took():
    assert readers(STOPWATCHES) == STOPWATCH_READERS


def asked_twice(path: Path) -> list[str]:
    """Return the functions of a file that ask the date and then ask it again, in them or below."""
    functions = {n.name: n for n in nodes(path) if isinstance(n, ast.FunctionDef)}
    own = {
        name: sum(clock in DATES for clock in clocks_named(node))
        for name, node in functions.items()
    }
    calls = {
        name: {
            n.func.id
            for n in ast.walk(node)
            if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)
        }
        & functions.keys() - {name}
        for name, node in functions.items()
    }

    def below(name: str, seen: frozenset[str]) -> int:
        return own[name] + sum(below(each, seen | {each}) for each in calls[name] - seen)

    return [name for name, times in own.items() if times and below(name, frozenset({name})) > 1]


def test_the_date_is_asked_once():
    assert by_file(asked_twice, [*EDGES, *(ROOT / name for name in sorted(DATE_READERS))]) == []


def test_a_date_asked_twice_would_be_found(tmp_path):
    guilty = tmp_path / "guilty.py"
    guilty.write_text(
        "def page():\n    return again(timezone.now())\n"
        "def again(now):\n    return now, date.today()\n"
        "def good():\n    return timezone.now()\n",
        "utf-8",
    )
    assert asked_twice(guilty) == ["page"]


def test_each_way_to_a_clock_would_be_found():
    code = (
        "timezone.now()\ndate.today()\nlocaltime()\nfield(default=time.monotonic)\nperf_counter()"
    )
    found = ["localtime", "monotonic", "now", "perf_counter", "today"]
    assert sorted(clocks_named(ast.parse(code))) == found
    assert clocks_named(ast.parse("machine.now, date.fromisoformat(text), time(2)")) == []
