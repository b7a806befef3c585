"""Keys of work from before, that held a machine's tag: after the upgrade each names the same work.

The case: E:07 (a tag may hold colons) and E-02, which was E-01 when some of its keys were written;
a service that is there, and one that has gone.  41 and 7 are a tag and a code that look like rows.
"""

from dataclasses import dataclass, field
from datetime import timedelta
from importlib import import_module

import pytest
from django.apps import apps as today
from django.db import transaction

from fleet.models import KeptWork, Pin, Progress, PutOff, Release, WorkEstimate
from fleet.work_keys import key_if_any, repair_key, service_key
from scheduling.models import PlannedWork, Trial
from tests.factories import NOON, TODAY
from tests.old_database import ALIAS, OldDatabase, old_database

LATER = TODAY + timedelta(days=1)
MODELS = (Pin, PutOff, WorkEstimate, Progress, KeptWork, PlannedWork)
WITHOUT = ("s:E:07:no-more", "s:GONE:oil", "s:41:7", "f:x", "")
"""Keys of a machine or a service that has gone, and what never was a key."""


@dataclass
class Upgraded:
    """The rows of the old database by a name each, which is by now migrated."""

    old: OldDatabase
    made: dict[str, int] = field(default_factory=dict)

    def make(self, name, model, /, app="fleet", **fields):
        self.made[name] = self.old.make(app, model, **fields).pk

    def decide(self, name, model, key, machine="e7", app="fleet", **fields):
        """Write something that people decided of one piece of work."""
        self.make(name, model, app, work_key=key, machine_id=self.made[machine], **fields)

    def key(self, model, name):
        return model.objects.using(ALIAS).get(pk=self.made[name]).work_key

    def named(self, machine, service):
        return service_key(self.made[machine], self.made[service])


@pytest.fixture(scope="module")
def site(tmp_path_factory, django_db_blocker):
    folder = tmp_path_factory.mktemp("old")
    with (
        django_db_blocker.unblock(),
        old_database(folder, "scheduling", "0005_tell_each_cause_once") as old,
    ):
        found = Upgraded(old)
        write_fleet(found)
        write_decisions(found)
        write_what_was_published(found)
        write_plan(found)
        old.to_today()
        yield found


def write_fleet(site):
    made = site.made
    site.make("shop", "Shop", name="Mill")
    site.make("person", "Person", username="dale", role="manager", shop_id=made["shop"])
    site.make("yard", "Yard", shop_id=made["shop"], name="Mill yard")
    site.make("class", "MachineClass", name="skid steer")
    site.make("makeup", "MakeUp", machine_class_id=made["class"], maker="Any", model="One")
    for name, tag in {"left": "left", "e7": "E:07", "e2": "E-02"}.items():
        site.make(name, "Machine", tag=tag, yard_id=made["yard"], makeup_id=made["makeup"])
    site.make("wash", "Service", code="wash", name="Wash", minutes=9)
    site.make("oil", "Service", code="oil-change", name="Oil change", minutes=60)
    site.make("finding", "Finding", machine_id=made["e7"], text="hose chafed", seen_at=NOON,
              seen_by_id=made["person"])  # fmt: skip


def write_decisions(site):
    said = {"by_id": site.made["person"], "at": NOON}
    over = {"lifted_at": NOON}
    pinned = {"day": TODAY, **said}
    site.decide("pin", "Pin", "s:E:07:oil-change", **pinned)
    site.decide("lifted pin", "Pin", "s:E:07:oil-change", **pinned, **over)
    site.decide("pin of before", "Pin", "s:E-01:wash", "e2", **pinned)
    site.decide("pin lost", "Pin", "s:E-01:oil-change", "e2", **pinned)
    site.decide("pin set anew", "Pin", "s:E-02:oil-change", "e2", **pinned)
    site.decide("pin of a finding", "Pin", f"f:{site.made['finding']}", **pinned)
    for number, key in enumerate(WITHOUT):
        site.decide(f"pin {number}", "Pin", key, **pinned)
    for name, key, day in (("put off", "s:E-02:wash", TODAY), ("put off lost", "s:E-01:wash", TODAY),
                           ("put off again", "s:E-01:wash", LATER)):  # fmt: skip
        site.decide(name, "PutOff", key, "e2", day=day, reason="no filter", **said)
    site.decide("estimate", "WorkEstimate", "s:E:07:wash", minutes=90, **said)
    for name, key in (("begun", "s:E-01:wash"), ("gone on with", "s:E-02:wash")):
        site.decide(name, "Progress", key, "e2", done_by_id=site.made["person"], minutes=60,
                    minutes_left=30, at=NOON)  # fmt: skip


def write_what_was_published(site):
    made = site.made
    site.make("day", "KeptDay", shop_id=made["shop"], day=TODAY, kept_at=NOON, minutes=60,
              minutes_there=480)  # fmt: skip
    kept = {"kept_day_id": made["day"], "minutes": 60}
    site.decide("kept", "KeptWork", "s:E-01:oil", "e2", service_id=made["oil"], title="Oil", **kept)
    site.decide("kept repair", "KeptWork", f"f:{made['finding']}", finding_id=made["finding"],
                title="hose chafed", **kept)  # fmt: skip
    keys = ["s:E:07:oil-change", "s:E-02:wash", f"f:{made['finding']}", *WITHOUT]
    site.make("release", "Release", shop_id=made["shop"], at=NOON, first_day=TODAY, last_day=LATER,
              jobs=[{"work_key": key, "day": "2026-03-02", "mechanic": "dale"} for key in keys])  # fmt: skip


def write_plan(site):
    made = site.made
    site.make("plan", "Plan", "scheduling", shop_id=made["shop"], made_at=NOON, first_day=TODAY,
              days=14)  # fmt: skip
    planned = {"app": "scheduling", "plan_id": made["plan"], "minutes": 60}
    site.decide("planned", "PlannedWork", "s:E:07:oil-change", service_id=made["oil"], **planned)
    site.decide("repair planned", "PlannedWork", f"f:{made['finding']}",
                finding_id=made["finding"], **planned)  # fmt: skip
    change = {"what": "longer", "machine": made["e2"], "tag": "E-01", "title": "Wash"}
    site.make(
        "trial", "Trial", "scheduling", shop_id=made["shop"], by_id=made["person"], made_at=NOON,
        changes=[{"what": "closed", "day": "2026-03-03", "reason": "s:E:07:wash, they say"},
                 {**change, "work_key": "s:E-01:wash", "minutes": 90}, "by hand"],
        solution={"assignments": [{"task": "s:E:07:wash", "day": 1}], "deferred": ["s:GONE:oil"],
                  "deferred_reasons": {"s:E:07:oil-change": {"together": ["s:E:07:wash"]}}},
        shown={"moves": [{"key": "s:E-02:wash", "tag": "E-02", "before": None}], "gap": 0.5},
    )  # fmt: skip


@pytest.mark.parametrize(
    ("model", "name", "machine", "service"),
    [
        (Pin, "pin", "e7", "oil"),
        (Pin, "lifted pin", "e7", "oil"),
        (Pin, "pin of before", "e2", "wash"),
        (Pin, "pin set anew", "e2", "oil"),
        (PutOff, "put off", "e2", "wash"),
        (PutOff, "put off again", "e2", "wash"),
        (WorkEstimate, "estimate", "e7", "wash"),
        (Progress, "begun", "e2", "wash"),
        (Progress, "gone on with", "e2", "wash"),
        (KeptWork, "kept", "e2", "oil"),  # by the rows beside it: tag and code were others then
        (PlannedWork, "planned", "e7", "oil"),
    ],
)
def test_what_was_decided_of_work_stays_with_it(site, model, name, machine, service):
    assert site.key(model, name) == site.named(machine, service)


@pytest.mark.parametrize(
    ("model", "name"),
    [(Pin, "pin of a finding"), (KeptWork, "kept repair"), (PlannedWork, "repair planned")],
)
def test_the_keys_of_findings_are_what_they_were(site, model, name):
    assert site.key(model, name) == repair_key(site.made["finding"])


@pytest.mark.parametrize(("number", "key"), list(enumerate(WITHOUT)))
def test_a_key_of_what_has_gone_stands_still_and_names_nothing(site, number, key):
    assert site.key(Pin, f"pin {number}") == key
    assert key_if_any(key) is None


def test_of_two_pins_that_are_one_the_one_that_counted_does(site):
    """A machine was renamed, and its work pinned anew; the pin of before counted no more."""
    assert site.key(Pin, "pin lost") == "s:E-01:oil-change"
    assert site.key(PutOff, "put off lost") == "s:E-01:wash"


def test_published_lists_hold_the_same_work(site):
    (release,) = Release.objects.using(ALIAS).all()
    keys = [site.named("e7", "oil"), site.named("e2", "wash"), repair_key(site.made["finding"])]
    assert [job["work_key"] for job in release.jobs] == [*keys, *WITHOUT]
    assert {(job["day"], job["mechanic"]) for job in release.jobs} == {("2026-03-02", "dale")}


def test_trials_hold_the_same_work(site):
    (trial,) = Trial.objects.using(ALIAS).all()
    wash, oil = site.named("e7", "wash"), site.named("e7", "oil")
    assert trial.changes == [
        {"what": "closed", "day": "2026-03-03", "reason": "s:E:07:wash, they say"},
        {"what": "longer", "machine": site.made["e2"], "tag": "E-01", "title": "Wash",
         "work_key": site.named("e2", "wash"), "minutes": 90},
        "by hand",
    ]  # fmt: skip
    assert trial.solution == {
        "assignments": [{"task": wash, "day": 1}], "deferred": ["s:GONE:oil"],
        "deferred_reasons": {oil: {"together": [wash]}},
    }  # fmt: skip
    moves = [{"key": site.named("e2", "wash"), "tag": "E-02", "before": None}]
    assert trial.shown == {"moves": moves, "gap": 0.5}


def test_the_way_back_gives_each_machine_its_keys_again(site):
    with site.old.as_the_site(), transaction.atomic():
        for module in (
            "scheduling.migrations.0010_name_planned_work_by_rows",
            "fleet.migrations.0003_name_work_by_rows",
        ):
            import_module(module)._rename(today, ALIAS, back=True)
        keys = {key for model in MODELS for key in model.objects.values_list("work_key", flat=True)}
        (release,), (trial,) = Release.objects.all(), Trial.objects.all()
        transaction.set_rollback(True)
    assert not [key for key in keys if key.startswith("m:")]
    assert {"s:E:07:oil-change", "s:E-02:wash", "s:E:07:wash", *WITHOUT} <= keys
    assert [job["work_key"] for job in release.jobs][:2] == ["s:E:07:oil-change", "s:E-02:wash"]
    assert trial.solution["deferred_reasons"] == {"s:E:07:oil-change": {"together": ["s:E:07:wash"]}}


def test_done_twice_it_is_done_once(site):
    with site.old.as_the_site(), transaction.atomic():
        before = [list(model.objects.order_by("pk").values()) for model in (*MODELS, Trial)]
        import_module("fleet.migrations.0003_name_work_by_rows")._rename(today, ALIAS, back=False)
        after = [list(model.objects.order_by("pk").values()) for model in (*MODELS, Trial)]
    assert before == after
