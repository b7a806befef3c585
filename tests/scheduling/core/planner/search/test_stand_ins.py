import numpy as np

from scheduling.core.planner.plan import Draft
from scheduling.core.planner.search.candidates import all_visits
from scheduling.core.planner.search.stand_ins import STAND_INS, StandIns
from tests.benchmarks.plan_instances import (
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
)
from tests.scheduling.core.planner.cases import yard_case

DAYS = 2


def draft_of(mechanics, **task):
    case, machines = yard_case(
        instance(
            DAYS,
            yards=[plain_yard()],
            mechanics=mechanics,
            machines=[plain_machine("m", DAYS)],
            tasks=[plain_task("t", "m", 2.0, 0.0, **task)],
        )
    )
    return Draft.empty(case, machines)


def offered(draft, day=0):
    """The mechanics to whom the machine's only visit is offered on a day."""
    keep = StandIns(draft.machines).thinned(draft, [0], all_visits(draft.machines))
    return np.flatnonzero(keep[0][0, day]).tolist()


def crew(count, hours=8.0):
    return [plain_mechanic(f"w{n}", [hours] * DAYS) for n in range(count)]


def test_of_those_who_are_alike_the_first_are_offered():
    assert offered(draft_of(crew(5))) == list(range(STAND_INS))
    assert offered(draft_of(crew(2))) == [0, 1]


def test_whoever_has_more_left_stands_in_for_those_with_less():
    draft = draft_of(crew(4))
    draft.used[0, :] = [30, 20, 10, 0]
    assert offered(draft) == [1, 2, 3]
    assert offered(draft, day=1) == [0, 1, 2]


def test_nobody_dearer_or_without_the_skill_stands_in():
    cheap, dear = crew(4)[3:], crew(3, hours=10.0)
    for mechanic in dear:
        mechanic |= {"overtime_limit_hours": 2.0, "overtime_cost_per_hour": 50.0}
    assert offered(draft_of([*dear, *cheap])) == [0, 1, 2, 3]
    unskilled = [m | {"skills": ["other"]} for m in crew(3, hours=10.0)]
    assert offered(draft_of([*unskilled, *cheap])) == [3]


def test_who_has_the_machine_in_the_standing_plan_stays_offered():
    draft = draft_of(crew(5), previous={"day": 0, "mechanic": "w4"})
    assert 4 in offered(draft)


def test_a_visit_with_a_second_person_is_left_as_it_is():
    draft = draft_of(crew(4), second={"skill": "general", "hours": 1.0})
    keep = all_visits(draft.machines)
    thinned = StandIns(draft.machines).thinned(draft, [0], keep)
    assert (thinned[0] == keep[0]).all()
