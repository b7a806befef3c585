"""Notices against a real mail server: taken, refused for now, refused for good, down, dying."""

from datetime import datetime, timedelta

import pytest

from fleet.models import Role
from scheduling.models import Notice, OutboxEntry
from scheduling.notices.causes import NoticeCause
from scheduling.notices.letter import Letter
from scheduling.notices.message import message_id
from scheduling.notices.posting import NewNotice, put
from scheduling.outbox import entries
from scheduling.worker.night import run_night
from scheduling.worker.perform import perform_entry
from tests import factories
from tests.factories import NOON, TODAY
from tests.services.sink import Sink

pytestmark = [pytest.mark.smtp, pytest.mark.django_db]
LETTER = Letter("2 machines held", "2 machines held: “SL-04”\n", "<p>2 machines held</p>")


@pytest.fixture
def manager():
    return factories.Person(username="mara")


@pytest.fixture
def desk(manager):
    return factories.Person(username="dale", role=Role.DESK, shop=manager.shop)


def notice_to(person):
    cause = NoticeCause(Notice.Kind.AT_RISK, day=TODAY)
    return put(NewNotice(cause, person, person.shop, LETTER), NOON)


def work_off(now: datetime = NOON, sweeps: int = 12) -> datetime:
    """Do all that is owed, sweep by sweep, moving the clock to when the next thing is due."""
    for _ in range(sweeps):
        for pk in entries.owed(now).values_list("pk", flat=True):
            perform_entry(pk, now)
        waiting = (
            OutboxEntry.objects.filter(done_at=None, failed_at=None).order_by("due_at").first()
        )
        if waiting is None:
            return now
        now = max(waiting.due_at, now + timedelta(seconds=1))
    return now


def test_a_notice_arrives_whole_and_once(sink, smtp, desk):
    smtp(sink)
    notice = notice_to(desk)
    work_off()
    work_off()
    (mail,) = sink.mails
    assert (mail["To"], mail["Subject"]) == ("dale@example.org", LETTER.subject)
    assert mail["Message-ID"] == message_id(notice)
    text, *link = mail.get_body(("plain",)).get_content().strip().splitlines()
    assert text == LETTER.text.strip()
    assert "Is it in hand? Say so, and nobody else is told: http" in "\n".join(link)
    assert "<p>2 machines held</p>" in mail.get_body(("html",)).get_content()
    assert Notice.objects.get().status == "sent"


def test_refused_for_now_it_is_tried_again(sink, smtp, desk):
    smtp(sink)
    sink.refusals["dale@example.org"] = ["451 4.3.0 try later", "452 4.2.2 mailbox full"]
    notice_to(desk)
    ended = work_off()
    assert len(sink.mails) == 1
    assert timedelta(seconds=2 + 4) <= ended - NOON <= timedelta(seconds=2 + 4) * 1.25
    assert Notice.objects.get().error == ""


def test_refused_for_good_it_is_given_up_and_the_manager_told(sink, smtp, desk, manager):
    smtp(sink)
    sink.refusals["dale@example.org"] = ["550 5.1.1 no such user"]
    notice = notice_to(desk)
    work_off()
    (mail,) = sink.mails
    assert mail["To"] == "mara@example.org"
    assert "550 5.1.1 no such user" in mail.get_body(("plain",)).get_content()
    notice.refresh_from_db()
    assert notice.status == "not sent"


def test_an_address_beyond_ascii_is_given_up_too(sink, smtp, desk):
    smtp(sink)
    desk.email = "dale@höfe.example"
    desk.save()
    sink.refusals["dale@xn--hfe-sna.example"] = ["550 5.1.1 no such user"]
    notice = notice_to(desk)
    work_off()
    notice.refresh_from_db()
    assert notice.status == "not sent"
    assert "550 5.1.1 no such user" in notice.error


def test_where_nobody_can_be_reached_it_ends(sink, smtp, desk, manager):
    smtp(sink)
    for address in ("dale@example.org", "mara@example.org"):
        sink.refusals[address] = ["550 5.1.1 no such user"]
    notice_to(desk)
    work_off()
    assert sink.mails == []
    assert [notice.kind for notice in Notice.objects.order_by("pk")] == ["risk", "undelivered"]
    assert not OutboxEntry.objects.filter(done_at=None, failed_at=None).exists()


def test_a_server_that_is_down_at_first_gets_it_later(smtp, desk):
    sink = Sink()
    smtp(sink)
    notice_to(desk)
    now = work_off(sweeps=3)
    assert Notice.objects.get().error.startswith("Waiting; the mail server said: Connection")
    with sink.listening():
        work_off(now)
    assert len(sink.mails) == 1
    assert Notice.objects.get().status == "sent"


def test_a_server_that_takes_it_and_says_no_gets_the_same_message_again(sink, smtp, desk):
    smtp(sink)
    sink.replies = ["421 4.3.2 closing"]
    notice_to(desk)
    work_off()
    assert len(sink.ids) == 2
    assert len(set(sink.ids)) == 1
    assert Notice.objects.get().status == "sent"


def test_one_bad_address_holds_nobody_else_up(sink, smtp, desk, manager):
    smtp(sink)
    sink.refusals["dale@example.org"] = ["451 4.3.0 try later"] * 20
    notice_to(desk)
    notice_to(manager)
    work_off(sweeps=1)
    assert [mail["To"] for mail in sink.mails] == ["mara@example.org"]


def test_a_night_run_twice_sends_each_cause_once(sink, smtp, desk, manager):
    smtp(sink)
    machine = factories.Machine(yard__shop=manager.shop)
    factories.Hold(machine=machine, placed_by=manager)
    factories.Booking(machine=machine)
    for hours in range(2):
        assert run_night(manager.shop, NOON + timedelta(hours=hours))["ok"]
        work_off(NOON + timedelta(hours=hours))
    assert sorted((mail["To"], mail["Subject"].split(":")[0]) for mail in sink.mails) == [
        ("dale@example.org", f"{machine} is held and booked"),
        ("mara@example.org", f"{manager.shop}, Mon 2 Mar"),
    ]
