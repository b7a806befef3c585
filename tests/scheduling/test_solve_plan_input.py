"""The planner's door and odd input: refused with field and id, named as a clash, or planned.

The time is looked at from outside, as the person who asked sees it; a second is left for starting
and ending on a busy machine, so what is shown is that no case makes the planner run on.
"""

import json
import re
import subprocess
import sys
import time
from io import StringIO
from operator import itemgetter
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
    sharp,
    small,
    yard,
)
from tests.in_time import first_in_time
from tests.plan_check import check
from tests.scheduling.core.planner.problem.test_whole_problem import BAD, changed

SECONDS = 2.0
"""Seconds that a plan is given."""

LONGEST = SECONDS * 1.1 + 1.0
"""Seconds that a plan may take: a tenth more, and a second for starting and ending."""

YEAR_1900 = -46_000.0
"""The first of January 1900, in days before today or so."""


@pytest.fixture
def door(tmp_path):
    """Run the command on a case; return its exit status, its words, its plan and the seconds."""

    def run(case, **options):
        source, out = tmp_path / "instance.json", tmp_path / "plan.json"
        source.write_text(case if isinstance(case, str) else json.dumps(case), encoding="utf-8")
        code, words, started = 0, "", time.monotonic()
        try:
            call_command(
                "solve_plan",
                str(source),
                out=str(out),
                stdout=StringIO(),
                **{"workers": 1, **options},
            )
        except CommandError as error:
            code, words = error.returncode, str(error)
        seconds = time.monotonic() - started
        plan = json.loads(out.read_text(encoding="utf-8")) if out.exists() else None
        return code, words, plan, seconds

    return run


def planned_in_time(door, case):
    """Return what the door gives of the first try in time."""
    return first_in_time(lambda: door(case, seconds=SECONDS), itemgetter(3), LONGEST)


@pytest.mark.parametrize(("path", "value", "words"), BAD)
def test_a_malformed_field_exits_2_with_its_name_and_writes_nothing(door, path, value, words):
    code, said, plan, _ = door(changed(path, value))
    assert (code, plan) == (2, None)
    assert re.search(words, said)
    assert "\n" not in said


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is not JSON"),
        ("{", "is not JSON"),
        ("null", "must be an object"),
        ('{"format": "shop-plan-1"}', "horizon_days: is missing"),
        ("[" * 100_000, "is nested too deeply"),
        ('{"format": "shop-plan-1", "horizon_days": ' + "9" * 5000 + "}", "is not JSON"),
        ('{"format": "shop-plan-1", "horizon_days": ' + "9" * 400 + "}", "horizon_days: a number"),
    ],
    ids=["empty", "broken", "null", "bare", "deep", "digits", "huge"],
)
def test_a_file_that_is_no_instance_exits_2_with_a_sentence(door, text, words):
    code, said, plan, _ = door(text)
    assert (code, plan) == (2, None)
    assert words in said


def test_on_the_command_line_the_sentence_stands_on_standard_error_without_a_traceback(tmp_path):
    case = small(1)
    case["parts"][0]["on_hand"] = -2
    source = tmp_path / "instance.json"
    source.write_text(json.dumps(case), encoding="utf-8")
    manage = Path(__file__).parents[2] / "manage.py"
    words = [sys.executable, manage, "solve_plan", source, "--out", tmp_path / "plan.json"]
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert done.stderr.strip().endswith("parts[filter].on_hand: -2 is below 0")
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


def shop(days=10, hours=8.0, tasks=(), **lists):
    """One mechanic, one machine a task unless told otherwise."""
    names = dict.fromkeys(t["machine"] for t in tasks)
    made = {
        "yards": [plain_yard(bays=2)],
        "mechanics": [plain_mechanic("w", [hours] * days)],
        "machines": [plain_machine(name, days, visit_cost=30.0) for name in names],
        "tasks": list(tasks),
    }
    return instance(days, **made | lists)


def due(name, machine="m", day=4.0, **fields):
    rates = {"overdue_cost_per_day": 9.0, "waste_cost_per_day": 1.0}
    return plain_task(name, machine, 2.0, day, **rates | fields)


def no_bays():
    return shop(tasks=[due("t")], yards=[plain_yard(bays=0)])


def no_bays_but_a_ranch():
    site = {"id": "ranch", "yard": "y", "travel_hours": 1.0, "trip_cost": 5.0}
    machine = plain_machine("m", 10, site="ranch")
    return shop(tasks=[due("t")], yards=[plain_yard(bays=0)], sites=[site], machines=[machine])


def due_in_1900():
    return shop(tasks=[due("t", day=YEAR_1900), due("u", "k")])


def due_in_a_thousand_years():
    return shop(tasks=[due("t", day=365_000.0)])


def one_day():
    return shop(days=1, tasks=[due("t", day=0.0), due("u", "k", day=-3.0)])


def two_hundred_days():
    case = yard(30, 1, 200, seed=1, load=0.3)
    for task in case["tasks"]:
        task["limit_day"] = None
    return case


def twenty_tasks_on_one_machine():
    return shop(days=28, tasks=[due(f"t{n}", day=n + 1.0) for n in range(20)])


def twenty_equal_tasks_on_one_machine():
    return shop(days=28, tasks=[due(f"t{n}", day=9.0) for n in range(20)])


def empty_shop():
    return instance(5)


def only_machines():
    return shop(machines=[plain_machine(f"m{n}", 10) for n in range(5)])


def nobody_holds_the_skill():
    return shop(tasks=[due("t", skill="diving"), due("u", "k")])


def nobody_works():
    return shop(hours=0.0, tasks=[due("t"), due("u", "k")])


def always_closed():
    return shop(tasks=[due("t")], yards=[plain_yard(closed=tuple(range(10)))])


def longer_than_any_day():
    return shop(tasks=[due("t") | {"hours": 50.0}])


def always_out():
    out = {"id": "b", "first_day": -5, "last_day": 900, "value": 10.0}
    return shop(tasks=[due("t")], machines=[plain_machine("m", 10, bookings=[out])])


def all_frozen():
    return shop(tasks=[due("t")]) | {"frozen_days": 10}


def part_that_never_comes():
    part = {"id": "p", "yard": "y", "on_hand": 0, "arrivals": [{"day": 99, "quantity": 1}]}
    return shop(tasks=[due("t", parts=[{"part": "p", "quantity": 1}])], parts=[part])


def nothing_has_a_price():
    return shop(tasks=[plain_task("t", "m", 1.0, 3.0)]) | {"weights": free_weights()}


ODD = [
    (no_bays, 0),
    (no_bays_but_a_ranch, 1),
    (due_in_1900, 2),
    (due_in_a_thousand_years, 0),
    (one_day, 2),
    (two_hundred_days, None),
    (twenty_tasks_on_one_machine, 20),
    (twenty_equal_tasks_on_one_machine, 20),
    (empty_shop, 0),
    (only_machines, 0),
    (nobody_holds_the_skill, 1),
    (nobody_works, 0),
    (always_closed, 0),
    (longer_than_any_day, 0),
    (always_out, 0),
    (all_frozen, 0),
    (part_that_never_comes, 0),
    (nothing_has_a_price, None),
]


@pytest.mark.parametrize(("odd", "planned"), ODD, ids=lambda value: getattr(value, "__name__", ""))
def test_what_is_odd_but_legal_is_planned_as_far_as_can_be_in_the_time_asked(door, odd, planned):
    case = odd()
    code, words, plan, seconds = planned_in_time(door, case)
    report = check(case, plan)
    assert (code, words, report.faults) == (0, "", [])
    assert plan["total"] == pytest.approx(report.total, abs=0.01)
    assert plan["bound"] <= report.total + 0.01
    assert seconds < LONGEST
    if planned is not None:
        assert len(plan["assignments"]) == planned


def too_many_for_the_limit():
    return shop(tasks=[due(f"t{n}", f"m{n}", limit_day=0) for n in range(5)])


def limit_while_the_machine_is_out():
    out = {"id": "b", "first_day": 0, "last_day": 5, "value": 10.0}
    machine = plain_machine("m", 10, bookings=[out])
    return shop(tasks=[due("t", limit_day=3)], machines=[machine])


def limit_long_past():
    return shop(tasks=[due("t", day=YEAR_1900, limit_day=-40_000)])


def limit_without_a_mechanic():
    return shop(tasks=[due("t", limit_day=5)], mechanics=[])


def limit_without_bays():
    return shop(tasks=[due("t", limit_day=5)], yards=[plain_yard(bays=0)])


def limit_before_the_part():
    part = {"id": "p", "yard": "y", "on_hand": 0, "arrivals": [{"day": 7, "quantity": 1}]}
    task = due("t", limit_day=5, parts=[{"part": "p", "quantity": 1}])
    return shop(tasks=[task], parts=[part])


def pin_on_a_closed_day():
    pin = {"day": 3, "mechanic": None}
    return shop(tasks=[due("t", pin=pin)], yards=[plain_yard(closed=(3,))])


def pins_of_one_machine_with_two_mechanics():
    tasks = [due(f"t{n}", pin={"day": 3, "mechanic": f"w{n}"}) for n in range(2)]
    return shop(tasks=tasks, mechanics=[plain_mechanic(f"w{n}", [8.0] * 10) for n in range(2)])


def pins_that_fill_the_day_twice():
    pin = {"day": 3, "mechanic": "w"}
    return shop(tasks=[due(f"t{n}", f"m{n}", pin=pin) | {"hours": 5.0} for n in range(2)])


def frozen_place_of_somebody_away():
    stood = {"day": 0, "mechanic": "w"}
    gone = plain_mechanic("w", [0.0] + [8.0] * 9)
    return shop(tasks=[due("t", previous=stood)], mechanics=[gone]) | {"frozen_days": 2}


CLASHING = [
    (too_many_for_the_limit, 1, "hard limit on day 0"),
    (limit_while_the_machine_is_out, 1, "booked out days 0 to 5 (b)"),
    (limit_long_past, 1, "no day is left before the limit"),
    (limit_without_a_mechanic, 1, "skill general"),
    (limit_without_bays, 1, "days 0 to 5: there is no bay"),
    (limit_before_the_part, 1, "p does not arrive until day 7"),
    (pin_on_a_closed_day, 1, "yard y is closed"),
    (pins_of_one_machine_with_two_mechanics, 1, "pin on day 3"),
    (pins_that_fill_the_day_twice, 1, "pin on day 3"),
    (frozen_place_of_somebody_away, 1, "day 0"),
]


@pytest.mark.parametrize(
    ("clash", "count", "reason"), CLASHING, ids=lambda value: getattr(value, "__name__", "")
)
def test_what_cannot_be_kept_exits_3_named_and_with_the_best_plan(door, clash, count, reason):
    case = clash()
    code, words, plan, seconds = planned_in_time(door, case)
    assert code == 3
    assert "No plan keeps every limit" in words
    assert reason in words
    assert len(plan["clashes"]) == count
    assert plan["fewest_proven"] is True
    broken = check(case, plan)
    assert broken.rules() <= {"limit", "pin", "frozen"}
    assert len(broken.faults) == count
    assert all(c["task"] in words for c in plan["clashes"])
    assert seconds < LONGEST


def test_a_due_date_is_read_as_written_however_old(door):
    case = due_in_1900()
    case["tasks"][0]["due"] = sharp(YEAR_1900)
    _, _, plan, _ = door(case, seconds=SECONDS)
    (place,) = [a for a in plan["assignments"] if a["task"] == "t"]
    assert place["day"] == 0
    assert plan["cost"]["overdue"] == pytest.approx(9.0 * -YEAR_1900, abs=20)
