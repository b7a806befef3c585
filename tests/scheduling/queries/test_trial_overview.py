"""What the page of a trial shows: changes in words, moves of one machine together."""

from datetime import date

import pytest

from scheduling.models import Trial
from scheduling.queries.trial_overview import DayAndMechanic, trial_page
from tests import consequences
from tests.factories import TODAY

pytestmark = pytest.mark.django_db


def place(day, who="Ada"):
    return {"day": day, "mechanic": who, "account": who.lower()}


def move(tag, title, before, after, **why):
    return {"tag": tag, "title": title, "before": before, "after": after, "why": "", **why}


def test_moves_of_one_machine_between_the_same_places_stand_together():
    early, late = place("2026-03-03"), place("2026-03-05", "Bo")
    moves = [
        move("Q-1", "Oil", early, late, why="Ada is away.", more="Bo has time."),
        move("Q-2", "Oil", early, late),
        move("Q-1", "Brakes", early, late, why="Ada is away.", more="Bo has time."),
        move("Q-1", "Belt", early, None),
    ]
    page = trial_page(consequences.Trial(shown={"moves": moves}), TODAY)
    assert [(m.tag, m.title) for m in page.moves] == [
        ("Q-1", "Oil and Brakes"),
        ("Q-2", "Oil"),
        ("Q-1", "Belt"),
    ]
    first = page.moves[0]
    assert (first.before, first.whys) == (
        DayAndMechanic(date(2026, 3, 3), "Ada"),
        [("Ada is away.", "Bo has time.")],
    )
    assert page.moves[2].after is None


def test_a_move_to_other_help_alone_tells_who_helps():
    before, after = (place("2026-03-03") | {"second": who} for who in ("", "Bo"))
    shown = {"moves": [move("L-6", "Inspection", before, after)]}
    (moved,) = trial_page(consequences.Trial(shown=shown), TODAY).moves
    assert (moved.before.second, moved.after.second) == ("", "Bo")


def test_a_move_that_an_older_version_kept_shows_its_whole_reason():
    kept = move("Q-1", "Oil", place("2026-03-03"), None, why="Ada is away. Bo has time.")
    (moved,) = trial_page(consequences.Trial(shown={"moves": [kept]}), TODAY).moves
    assert moved.whys == [("Ada is away. Bo has time.", "")]


def test_money_is_shown_with_its_change():
    shown = {"total": [10.0, 12.5], "money": [{"words": "trips", "before": 4.0, "after": 1.0}]}
    page = trial_page(consequences.Trial(shown=shown), TODAY)
    assert (page.total.by, page.money[0].by) == (2.5, -3)


def test_while_it_is_worked_out_the_search_is_shown():
    trial = consequences.Trial()
    search = consequences.PlanSearch(shop=trial.shop, trial=trial, round=1)
    page = trial_page(trial, TODAY)
    assert (page.search, page.total, page.moves) == (search, None, [])


def test_a_plan_written_since_is_noticed():
    trial = consequences.Trial(state=Trial.State.READY)
    assert not trial_page(trial, TODAY).overtaken
    consequences.Plan(shop=trial.shop, number=4)
    assert trial_page(trial, TODAY).overtaken


def test_a_name_at_the_head_of_a_change_is_left_as_it_is_written():
    day = {"first": "2026-03-03", "last": "2026-03-03"}
    away = {"what": "away", "person": 1, "name": "de Vries", "reason": "ill"} | day
    changes = [away, {"what": "closed", "day": "2026-03-04"}]
    assert trial_page(consequences.Trial(changes=changes), TODAY).changes == [
        "de Vries away on Tue 3 Mar",
        "The shop closed on Wed 4 Mar",
    ]


def test_a_change_that_cannot_be_read_says_so():
    trial = consequences.Trial(changes=[{"what": "moon"}, {"what": "closed", "day": "2026-03-03"}])
    assert trial_page(trial, TODAY).changes == [
        "A change that this version cannot read",
        "The shop closed on Tue 3 Mar",
    ]
