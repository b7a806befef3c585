"""Steps gone back through the change log: what fits is told, what does not is not guessed."""

from datetime import timedelta

from fleet.models import LoggedChange
from fleet.procedures.step_versions import step_versions
from tests.factories import NOON

NOW = {"text": "Pour it slowly", "kind": "do", "position": "2"}


def change(act, day, **values):
    told = [{"field": name, "old": old, "new": new} for name, (old, new) in values.items()]
    return LoggedChange(act=act, at=NOON + timedelta(days=day), values=told)


REWORDED = change("step changed: Pour it slowly", 3, text=("Pour it", "Pour it slowly"))
MOVED = change("step changed: Pour it", 2, position=("1", "3"), kind=("fill", "do"))
ADDED = change("step added: Pour it", 1, text=("", "Pour it"), kind=("", "fill"))


def test_a_step_is_gone_back_to_its_beginning():
    versions = step_versions({7: NOW}, [REWORDED, MOVED, ADDED])
    now, before, first = versions.standing[7]
    assert [one.number for one in (now, before, first)] == [3, 2, 1]
    assert (now.made, now.ended) == (REWORDED, None)
    assert (before.made, before.ended) == (MOVED, REWORDED)
    assert (first.made, first.ended) == (ADDED, MOVED)
    assert before.values == {"text": "Pour it", "kind": "do", "position": ""}  # where is not told
    assert first.values == {"text": "Pour it", "kind": "fill", "position": "1"}
    assert versions.loose == []


def test_a_step_that_was_taken_out_is_gone_back_too():
    out = change("step taken out: Pour it slowly", 4, text=("Pour it slowly", ""), kind=("do", ""))
    (lines,) = step_versions({}, [out, REWORDED]).gone
    assert [(one.values["text"], one.ended) for one in lines] == [
        ("Pour it slowly", out), ("Pour it", REWORDED),
    ]  # fmt: skip


def test_nothing_is_guessed_where_two_steps_fit_or_none():
    twins = step_versions({7: NOW, 8: dict(NOW)}, [REWORDED])
    assert [len(one) for one in twins.standing.values()] == [1, 1]
    assert [(one.old, one.new) for one in twins.loose] == [("Pour it", "Pour it slowly")]
    none = step_versions({7: NOW | {"text": "Wipe it"}}, [REWORDED])
    assert len(none.standing[7]) == 1
    assert [one.change for one in none.loose] == [REWORDED]


def test_what_the_whole_service_was_changed_to_begins_there():
    whole = change("changed", 2, **{
        "service step 2": ("fill, Pour it, 1", "do, Pour it slowly, 1"), "minutes": ("30", "40"),
    })  # fmt: skip
    older = change("step changed: Pour it", 1, text=("Pour", "Pour it"))
    versions = step_versions({7: NOW}, [whole, older])
    (now,) = versions.standing[7]
    assert now.made == whole
    assert [one.old for one in versions.loose] == ["fill, Pour it, 1", "Pour"]


def test_no_log_is_one_version_of_nobody():
    (now,) = step_versions({7: NOW}, []).standing[7]
    assert (now.number, now.made, now.ended) == (1, None, None)
