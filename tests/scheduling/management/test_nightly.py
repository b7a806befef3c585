"""manage.py nightly."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from scheduling.management.commands import nightly
from scheduling.models import NightlyRun
from tests import factories

pytestmark = pytest.mark.django_db


def run(*arguments):
    out = StringIO()
    call_command("nightly", *arguments, stdout=out)
    return out.getvalue()


def test_without_a_shop_it_says_how_to_set_one_up():
    assert "There is no shop yet" in run()
    assert json.loads(run("--json"))["shops"] == []


def test_it_says_what_it_does_and_did_for_every_shop():
    for name in ("Cold Fork", "Alder Creek"):
        factories.Machine(yard__shop__name=name)
    said = run()
    for words in ("Cold Fork: plan of the shop days", "Alder Creek, ", "refresh (", "notices ("):
        assert words in said
    assert NightlyRun.objects.count() == 2


def test_json_has_counts_and_seconds_by_stage():
    factories.Machine(yard__shop__name="Cold Fork")
    (shop,) = json.loads(run("--json"))["shops"]
    assert shop["shop"] == "Cold Fork"
    assert shop["stages"]["refresh"]["machines"] == 1
    assert all(counts["seconds"] >= 0 for counts in shop["stages"].values())


def test_the_plan_gets_the_seconds_that_are_asked_for(monkeypatch):
    asked = []

    def run_night(shop, now, tell, plan_seconds):
        asked.append(plan_seconds)
        return {"shop": shop.name, "day": "", "seconds": 0.0, "stages": {}, "missing": []}

    monkeypatch.setattr(nightly, "run_night", run_night)
    factories.Shop()
    run("--seconds", "1.5")
    run()
    assert asked == [1.5, None]


def test_several_processes_are_given_every_shop_and_its_moment(monkeypatch):
    given = []

    def nights_beside(nights, seconds, processes):
        given.append((list(nights), seconds, processes))
        return [{"shop": "x", "day": "", "seconds": 0.0, "stages": {}, "missing": []}]

    monkeypatch.setattr(nightly, "nights_beside", nights_beside)
    monkeypatch.setattr(nightly, "one_writer", lambda: False)
    shops = [factories.Shop(name="Alder Creek"), factories.Shop(name="Cold Fork")]
    run("--processes", "2", "--seconds", "3")
    ((nights, seconds, processes),) = given
    assert [pk for pk, _ in nights] == [shop.pk for shop in shops]
    assert (seconds, processes) == (3, 2)


def test_where_one_writes_at_a_time_the_shops_come_one_after_the_other(monkeypatch):
    monkeypatch.setattr(nightly, "one_writer", lambda: True)
    monkeypatch.setattr(nightly, "nights_beside", None)  # asked for, it would fail
    for name in ("Alder Creek", "Cold Fork"):
        factories.Shop(name=name)
    said = run("--processes", "2", "--seconds", "0.1")
    assert said.startswith("SQLite takes one writer at a time")
    assert NightlyRun.objects.filter(finished_at__isnull=False).count() == 2


def test_one_shop_alone_and_another_day():
    factories.Shop(name="Cold Fork")
    factories.Shop(name="Alder Creek")
    assert "Cold Fork, 2026-03-02" in run("--shop", "cold fork", "--date", "2026-03-02")
    assert NightlyRun.objects.get().shop.name == "Cold Fork"


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["--date", "2026-02-30"], "'2026-02-30', which is not a day; write it as 2026-03-02"),
        (["--date", "tomorrow"], "which is not a day"),
        (["--seconds", "0"], "--seconds takes a number above 0"),
        (["--seconds", "nan"], "--seconds takes a number above 0"),
        (["--processes", "0"], "--processes takes a number from 1 to 64"),
        (["--shop", "Nowhere"], "there is no such shop; there are: 'Cold Fork'"),
    ],
)
def test_bad_input_is_told_in_a_sentence_with_exit_2(arguments, sentence):
    factories.Shop(name="Cold Fork")
    with pytest.raises(CommandError, match="--") as refused:
        run(*arguments)
    assert sentence in str(refused.value)
    assert refused.value.returncode == 2


def test_a_failed_stage_is_told_with_exit_1(monkeypatch):
    factories.Shop(name="Cold Fork")
    stages = {"plan": {"failed": "no time", "seconds": 0.1}}
    report = {"shop": "Cold Fork", "day": "2026-03-02", "seconds": 0.1, "ok": False,
              "missing": [], "stages": stages}  # fmt: skip
    monkeypatch.setattr(nightly, "run_night", lambda *args: report)
    with pytest.raises(CommandError, match="Cold Fork, plan") as refused:
        run()
    assert refused.value.returncode == 1
