"""Causes that stood in strings, of notices and blocks: after the upgrade nothing is lost.

A notice had a key, a block a sentence.  Nothing is told again that was told.
"""

from dataclasses import dataclass, field
from datetime import date
from hashlib import sha256

import pytest
from django.db import transaction

from fleet.models import Shop
from scheduling.models import Block, MachineState, Notice
from scheduling.notices.risk_warnings import warn_of_risks
from scheduling.queries.said_blocks import said_blocks, with_causes
from tests.factories import NOON, TODAY
from tests.old_database import ALIAS, OldDatabase, old_database

SPAN = {"first_day": date(2026, 3, 5), "last_day": date(2026, 3, 8)}
SHOP_DAY = date(2026, 3, 4)
KEYS = {
    "morning": "morning:{shop}:2026-03-02:{person}",
    "list": "list:{shop}:2026-03-02:{person}",
    "changed": "changed:{release}:{person}",
    "of a publishing that is gone": "changed:987654:{person}",
    "of a service": "risk:{booking}:s:E:07:s:oil-change:limit:0:{person}",
    "of a service, third round": "risk:{booking}:s:E:07:s:oil-change:overdue:2:{person}",
    "before the renaming": "risk:{booking}:s:E-01:oil-change:falls:0:{person}",
    "after the renaming": "risk:{booking}:s:E:07:s:oil-change:falls:0:{person}",
    "of a service that is gone": "risk:{booking}:s:E:07:s:no-more:limit:0:{person}",
    "of a hold": "risk:{booking}:h:{hold}:hold:0:{person}",
    "undelivered": "undelivered:{changed}:{person}",
}
OVER = {"of a hold", "of a service, third round"}


@dataclass
class Upgraded:
    """The keys of what was made in the old database, which is by now migrated."""

    old: OldDatabase
    made: dict[str, int] = field(default_factory=dict)
    keys: dict[str, str] = field(default_factory=dict)

    def make(self, name, model, /, **fields):
        self.made[name] = self.old.make("fleet", model, **fields).pk

    def notice(self, name):
        return Notice.objects.using(ALIAS).get(pk=self.made[name])


@pytest.fixture(scope="module")
def site(tmp_path_factory, django_db_blocker):
    with (
        django_db_blocker.unblock(),
        old_database(tmp_path_factory.mktemp("old"), "scheduling", "0002_name_the_outbox") as old,
    ):
        found = Upgraded(old)
        write_facts(found)
        write_notices(found)
        old.to_today()
        yield found


def write_facts(site):
    """A booked machine whose tag holds colons, its desk, a service and a hold; both block it."""
    made = site.made
    site.make("shop", "Shop", name="Mill")
    site.make("person", "Person", username="dale", role="desk", shop_id=made["shop"])
    site.make("yard", "Yard", shop_id=made["shop"], name="2026-03-05")
    site.make("class", "MachineClass", name="skid steer")
    site.make("makeup", "MakeUp", machine_class_id=made["class"], maker="Any", model="One")
    site.make("machine", "Machine", tag="E:07:s", yard_id=made["yard"], makeup_id=made["makeup"])
    site.make("booking", "Booking", machine_id=made["machine"], customer="risk:1", made_at=NOON,
              **SPAN)  # fmt: skip
    site.make("service", "Service", code="oil-change", name="Oil: change", minutes=9)
    site.make("hold", "Hold", machine_id=made["machine"], placed_by_id=made["person"],
              placed_at=NOON, reason="a:b")  # fmt: skip
    site.make("release", "Release", shop_id=made["shop"], at=NOON, **SPAN)
    write_blocks(site)


POINT = {"p50": date(2026, 3, 6), "meter_kind": "hours", "life_now": 112.0, "closes_life": 100.0}
BLOCKS = {
    "limit": {"due_point": "overdue"},
    "hold": {"hold": "hold"},
    "overdue": {"due_point": "overdue"},
    "idle": {"due_point": "overdue"},
    "falls": {"due_point": "overdue", "booking": "booking", **SPAN},
    "shop": {"first_day": SHOP_DAY, "last_day": SHOP_DAY},
}


def write_blocks(site):
    """One block of each kind; the work is planned for the day in the shop."""
    made, machine = site.made, {"machine_id": site.made["machine"]}

    def make(name, model, **fields):
        made[name] = site.old.make("scheduling", model, **fields).pk

    make("now", "MachineState", computed_for=TODAY, missing="No start date", **machine)
    make("overdue", "DuePoint", service_id=made["service"], state="overdue", **machine, **POINT)
    make("plan", "Plan", shop_id=made["shop"], made_at=NOON, first_day=TODAY, days=28)
    make("job", "PlannedJob", plan_id=made["plan"], day=SHOP_DAY, mechanic_id=made["person"],
         minutes=90, **machine)  # fmt: skip
    make("work", "PlannedWork", plan_id=made["plan"], job_id=made["job"], minutes=60,
         service_id=made["service"], work_key="s:E:07:s:oil-change", **machine)  # fmt: skip
    for kind, cause in BLOCKS.items():
        fields = {f"{n}_id" if isinstance(v, str) else n: made.get(v, v) for n, v in cause.items()}
        make(f"block {kind}", "Block", kind=kind, sentence="It is so: it may not go out.",
             **machine, **{"first_day": TODAY} | fields)  # fmt: skip


def write_notices(site):
    made = site.made
    for name, pattern in KEYS.items():
        key = site.keys[name] = pattern.format(**made)
        kind = key.partition(":")[0]
        booked = {one: made[one.removesuffix("_id")] for one in ("machine_id", "booking_id")}
        notice = site.old.make(
            "scheduling", "Notice", key=key, kind=kind, shop_id=made["shop"],
            person_id=made["person"], subject=name, text="t", html="h", made_at=NOON,
            over_at=NOON if name in OVER else None, **(booked if kind == "risk" else {}),
        )  # fmt: skip
        made[name] = notice.pk


def test_every_notice_is_there(site):
    assert list(Notice.objects.using(ALIAS).order_by("pk").values_list("subject", flat=True)) == [
        *KEYS
    ]


def test_summaries_and_lists_keep_their_day(site):
    assert [site.notice(name).day for name in ("morning", "list")] == [TODAY, TODAY]


@pytest.mark.parametrize(
    ("name", "kind", "number"),
    [("of a service", "limit", 0), ("of a service, third round", "overdue", 2)],
)
def test_warnings_keep_service_kind_and_round(site, name, kind, number):
    row = site.notice(name)
    assert (row.service_id, row.hold_id) == (site.made["service"], None)
    assert (row.booking_id, row.block_kind, row.round) == (site.made["booking"], kind, number)


def test_warnings_keep_their_hold(site):
    row = site.notice("of a hold")
    assert (row.service_id, row.hold_id, row.over_at) == (None, site.made["hold"], NOON)


def test_a_renamed_machines_warnings_are_two_rounds_of_one_cause(site):
    rows = [site.notice(name) for name in ("before the renaming", "after the renaming")]
    assert [(row.service_id, row.round) for row in rows] == [
        (site.made["service"], 0), (site.made["service"], 1),
    ]  # fmt: skip


def test_changed_lists_and_undelivered_notices_keep_what_they_are_about(site):
    assert site.notice("changed").release_id == site.made["release"]
    assert site.notice("undelivered").about_id == site.made["changed"]


def test_what_is_gone_is_referred_to_no_more(site):
    assert site.notice("of a publishing that is gone").release_id is None
    assert site.notice("of a service that is gone").service_id is None


@pytest.mark.parametrize("name", list(KEYS))
def test_a_message_that_may_have_been_sent_keeps_its_identifier(site, name):
    digest = sha256(site.keys[name].encode()).hexdigest()
    assert site.notice(name).mark.hex == digest[:32]


def test_an_upgraded_site_does_not_warn_again_of_what_it_warned_of(site):
    """Of the block by a hard limit it did; that by the hold was over, and has come again."""
    with site.old.as_the_site(), transaction.atomic():
        shop = Shop.objects.get()
        assert [warn_of_risks(shop, NOON) for _ in range(2)] == [1, 0]
        again = Notice.objects.latest("pk")
        assert (again.block_kind, again.hold_id, again.round) == ("hold", site.made["hold"], 1)
        assert "Held by dale since Mon 2 Mar: a:b." in again.text
        transaction.set_rollback(True)


SENTENCES = {
    "limit": "Oil: change is past its hard limit: it may not go out until this is done.",
    "hold": "Held by dale since Mon 2 Mar: a:b.",
    "overdue": "Oil: change overdue by 12 h: it may not go out until this is done.",
    "idle": "Oil: change is due before it goes back to work: it has sat too long.",
    "falls": "Oil: change falls due from about Fri 6 Mar, back Sun 8 Mar. "
    "Planned for Wed 4 Mar, before it goes out Thu 5 Mar.",
    "shop": "In Mill for service, 1.5 h of work.",
}


@pytest.mark.parametrize("kind", list(SENTENCES))
def test_blocks_say_the_same_before_the_first_refresh(site, kind):
    with site.old.as_the_site():
        rows = with_causes(Block.objects.filter(pk=site.made[f"block {kind}"]))
        assert list(said_blocks(list(rows), TODAY).values()) == [SENTENCES[kind]]


def test_what_is_missing_of_a_machine_is_a_part_of_a_sentence(site):
    assert MachineState.objects.using(ALIAS).get().missing == "no start date"
