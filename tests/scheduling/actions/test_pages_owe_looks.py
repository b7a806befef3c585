"""What people change on pages has the plan looked at again within a minute.  2 March 2026.

What a look does with it stands in `test_look_again`; here the acts go through their pages.
"""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.models import Delivery, Interval, Machine
from scheduling.actions.replan import publish_days
from scheduling.models import OutboxEntry, Plan
from scheduling.worker.follow_facts import follow_facts
from scheduling.worker.perform import perform_entry
from tests import factories as make
from tests.pages import at_noon  # noqa: F401  a fixture
from tests.scheduling.cases import NOW, TODAY
from tests.sent_back import send_back

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]

A_MINUTE = timedelta(minutes=1)


def hang_a_hold(client, machine, person):
    send_back(client, reverse("hold-machine", args=[machine.tag]), "reason", reason="it smells")


def note_an_absence(client, machine, person):
    page = reverse("set-up-people-edit", args=[person.pk])
    days = {"absences-0-first_day": "3 Mar 2026", "absences-0-last_day": "6 Mar 2026"}
    send_back(client, page, "absences-0-first_day", **days)


def shorten_hours(client, machine, person):
    page = reverse("set-up-people-edit", args=[person.pk])
    send_back(client, page, "hours_1", hours_1="2")


def close_a_day(client, machine, person):
    page = reverse("set-up-shops-edit", args=[person.shop_id])
    closed = {"closed_days-0-day": "4 Mar 2026", "closed_days-0-reason": "fair"}
    send_back(client, page, "closed_days-0-day", **closed)


def have_a_part_late(client, machine, person):
    delivery = Delivery.objects.get()
    page = reverse("sheets:fleet_part_change", args=[delivery.part_id])
    late = {"deliveries-0-expected_on": "2026-04-20", "deliveries-0-said_by": "the carrier"}
    send_back(client, page, "deliveries-0-expected_on", **late)


def put_a_machine_in(client, machine, person):
    page = f"{reverse('set-up-machines-new')}?makeup={machine.makeup_id}&yard={machine.yard_id}"
    send_back(client, page, "tag", tag="NEW-1", started_on="1 Feb 2026")


def set_an_interval(client, machine, person):
    row = Interval.objects.get(makeup=machine.makeup_id)
    send = {"meter_kind": "", "every_days": "20"}
    page = reverse("sheets:fleet_interval_change", args=[row.pk])
    send_back(client, page, "every_days", **send)


def retire(client, machine, person):
    page = reverse("machine-retire", args=[machine.tag])
    send_back(client, page, "reason", reason="sold", day=TODAY.isoformat())


ACTS = [
    hang_a_hold, note_an_absence, shorten_hours, close_a_day, have_a_part_late, put_a_machine_in,
    set_an_interval, retire,
]  # fmt: skip


def owed_within_a_minute(shop):
    """Let the worker do what the act owes; tell whether the shop's plan is to be looked at."""
    for entry in OutboxEntry.objects.filter(kind=OutboxEntry.Kind.REFRESH, done_at=None):
        assert perform_entry(entry.pk, NOW + timedelta(seconds=1))
    follow_facts(NOW + timedelta(seconds=1))
    looks = OutboxEntry.objects.filter(kind=OutboxEntry.Kind.LOOK, due_at__lte=NOW + A_MINUTE)
    return [entry.payload for entry in looks] == [{"shop": shop.pk}]


def test_each_act_of_a_page_on_which_a_plan_hangs_owes_it_a_look(
    client, shop, mechanic, planned, django_capture_on_commit_callbacks
):
    manager = make.Person(shop=shop)
    publish_days(shop, TODAY, 28, by=manager, now=NOW)
    Plan.objects.update(made_at=NOW - A_MINUTE)  # the clock stands still, and facts come later
    client.force_login(manager)
    machine = Machine.objects.get(pk=planned[0].pk)
    owed = {}
    for act in ACTS:
        OutboxEntry.objects.all().delete()
        with django_capture_on_commit_callbacks(execute=True):
            act(client, machine, mechanic)
        owed[act.__name__] = owed_within_a_minute(shop)
    assert owed == dict.fromkeys(owed, True)
