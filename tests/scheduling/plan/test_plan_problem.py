"""A shop's problem as a file: the planner reads it, and `solve_plan` solves it."""

import json

import pytest
from django.core.management import CommandError, call_command

from tests import factories as make

pytestmark = pytest.mark.django_db


def test_what_is_written_is_what_solve_plan_plans(shop, mechanic, due_in, refreshed, tmp_path):
    tags = {due_in(3).tag, due_in(5).tag}
    refreshed()
    call_command("plan_problem", out=str(tmp_path / "shop.json"), stdout=_Quiet())
    problem = json.loads((tmp_path / "shop.json").read_text())
    assert {task["machine"] for task in problem["tasks"]} == tags
    call_command(
        "solve_plan", str(tmp_path / "shop.json"), out=str(tmp_path / "plan.json"),
        seconds=1.0, workers=1, stdout=_Quiet(),
    )  # fmt: skip
    plan = json.loads((tmp_path / "plan.json").read_text())
    assert len(plan["assignments"]) + len(plan["deferred"]) == len(problem["tasks"])


def test_of_several_shops_the_one_that_is_named(shop, mechanic, due_in, refreshed, tmp_path):
    due_in(3)
    other = make.Shop(name="Far shop")
    refreshed()
    with pytest.raises(CommandError, match="There is more than one shop; write --shop"):
        call_command("plan_problem", out=str(tmp_path / "a.json"))
    with pytest.raises(CommandError, match=r"no shop “Nowhere”.*Far shop"):
        call_command("plan_problem", shop="Nowhere", out=str(tmp_path / "a.json"))
    call_command("plan_problem", shop="far shop", out=str(tmp_path / "a.json"), stdout=_Quiet())
    assert json.loads((tmp_path / "a.json").read_text())["tasks"] == []
    assert other.name == "Far shop"


def test_a_file_that_cannot_be_written_is_named(shop, tmp_path):
    with pytest.raises(CommandError, match=r"no/such\.json"):
        call_command("plan_problem", out=str(tmp_path / "no" / "such.json"))


class _Quiet:
    def write(self, words):
        assert "Traceback" not in words
