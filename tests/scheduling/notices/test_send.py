"""What becomes of a notice by what the mail server says; the real server is in tests/services."""

from datetime import timedelta
from smtplib import SMTPDataError, SMTPRecipientsRefused, SMTPServerDisconnected

import pytest
from django.core import mail
from django.core.mail.backends.locmem import EmailBackend

from fleet.models import HandOver
from scheduling.models import Notice, OutboxEntry
from scheduling.notices.send import LONGEST_TRY, send_owed
from scheduling.outbox import entries
from scheduling.outbox.entries import TryAgain
from tests import consequences, factories
from tests.factories import NOON

ADDRESS = "dale@example.org"


@pytest.fixture
def notice(desk, manager):
    return consequences.Notice(person=desk)


@pytest.fixture
def claimed(notice):
    pk = consequences.OutboxEntry(key=f"send:{notice.pk}", payload={"notice": notice.pk}).pk
    return entries.claim(pk, NOON)


@pytest.fixture
def server(monkeypatch):
    """Let the mail server answer with an error."""

    def answer(error):
        def send(self, messages):
            raise error

        monkeypatch.setattr(EmailBackend, "send_messages", send)

    return answer


def test_a_notice_that_was_taken_is_marked_with_its_entry(claimed, notice):
    assert send_owed(claimed, NOON)
    notice.refresh_from_db()
    claimed.refresh_from_db()
    assert (notice.sent_at, claimed.done_at) == (NOON, NOON)
    assert [each.to for each in mail.outbox] == [[ADDRESS]]


def test_what_was_sent_is_not_sent_again(claimed, notice):
    Notice.objects.update(sent_at=NOON)
    assert send_owed(claimed, NOON)
    assert mail.outbox == []


def test_a_notice_that_is_gone_is_nothing_to_send(claimed, notice):
    notice.delete()
    assert send_owed(claimed, NOON)


@pytest.mark.parametrize(
    "error",
    [
        ConnectionRefusedError("server down"),
        TimeoutError("timed out"),
        SMTPServerDisconnected("gone"),
        SMTPDataError(421, b"closing"),
        SMTPRecipientsRefused({ADDRESS: (451, b"4.3.0 try later")}),
    ],
)
def test_what_may_pass_waits_and_says_what_the_server_said(claimed, notice, server, error):
    server(error)
    with pytest.raises(TryAgain):
        send_owed(claimed, NOON)
    notice.refresh_from_db()
    assert notice.status == "waiting"
    assert notice.error.startswith("Waiting; the mail server said: ")


def test_a_recipient_refused_for_good_is_given_up_and_the_manager_told(claimed, notice, server):
    server(SMTPRecipientsRefused({ADDRESS: (550, b"5.1.1 no such user")}))
    assert send_owed(claimed, NOON)
    notice.refresh_from_db()
    assert (notice.status, notice.failed_at) == ("not sent", NOON)
    assert "550 5.1.1 no such user" in notice.error
    assert Notice.objects.get(kind=Notice.Kind.UNDELIVERED).person.username == "mara"
    claimed.refresh_from_db()
    assert claimed.failed_at == NOON


def test_a_letter_refused_after_it_was_read_is_given_up_and_told(claimed, notice, server):
    """550 after DATA: the server has read the letter and will not take it, however often asked."""
    server(SMTPDataError(550, b"5.7.1 looks like advertising"))
    assert send_owed(claimed, NOON)
    notice.refresh_from_db()
    assert notice.status == "not sent"
    assert "read the letter and did not take it. It said: 550 5.7.1 looks like" in notice.error
    assert Notice.objects.get(kind=Notice.Kind.UNDELIVERED).person.username == "mara"


def test_it_is_marked_before_the_server_is_told_farewell(claimed, notice, monkeypatch):
    """What a slow server takes for its farewell is no time in which a kill doubles the letter."""
    marked = []

    def close(self):
        marked.append(Notice.objects.get(pk=notice.pk).sent_at)

    monkeypatch.setattr(EmailBackend, "close", close)
    send_owed(claimed, NOON)
    assert marked == [NOON]


def test_a_server_that_is_down_for_days_is_given_up(claimed, notice, server):
    server(ConnectionRefusedError("server down"))
    assert send_owed(claimed, NOON + LONGEST_TRY + timedelta(hours=1))
    notice.refresh_from_db()
    assert "did not accept it in 5 days" in notice.error


@pytest.mark.parametrize(
    ("person", "why"),
    [
        ({"is_active": False}, "no longer active"),
        ({"email": ""}, "no e-mail address"),
        ({"email": "dale at example"}, "is not an e-mail address"),
    ],
)
def test_nobody_is_written_to_in_vain(claimed, notice, person, why):
    for field, value in person.items():
        setattr(notice.person, field, value)
    notice.person.save()
    assert send_owed(claimed, NOON)
    notice.refresh_from_db()
    assert why in notice.error
    assert mail.outbox == []


def test_managers_hear_nothing_of_somebody_who_left(claimed, notice):
    notice.person.is_active = False
    notice.person.save()
    send_owed(claimed, NOON)
    assert not Notice.objects.filter(kind=Notice.Kind.UNDELIVERED).exists()


def test_a_worker_that_was_too_slow_still_marks_what_it_sent(claimed, notice):
    later = NOON + timedelta(hours=1)
    OutboxEntry.objects.update(leased_until=later, attempts=claimed.attempts + 1)  # another took it
    assert not send_owed(claimed, NOON)
    notice.refresh_from_db()
    assert notice.sent_at == NOON


def test_a_warning_of_a_machine_that_came_back_meanwhile_is_not_sent(claimed, notice):
    """Let out against a block, the desk is warned; a minute later the machine is back."""
    booking = factories.Booking()
    HandOver.objects.create(booking=booking, direction="back", at=NOON)
    Notice.objects.update(kind=Notice.Kind.AT_RISK, booking=booking)
    assert send_owed(claimed, NOON)
    notice.refresh_from_db()
    assert mail.outbox == []
    assert "over before it could be sent" in notice.error


def test_a_warning_whose_cause_is_gone_is_not_sent(claimed, notice):
    Notice.objects.update(kind=Notice.Kind.AT_RISK, over_at=NOON)
    assert send_owed(claimed, NOON)
    assert mail.outbox == []
