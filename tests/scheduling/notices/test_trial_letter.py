"""A test letter says in words what became of it."""

import smtplib
import socket
import ssl

import pytest
from django.core.management import CommandError, call_command

from scheduling.notices.mail_server import in_words
from scheduling.notices.trial_letter import send_trial
from tests.factories import NOON
from tests.services.sink import Sink, free_port


def test_one_that_is_taken_arrives_and_is_said(sink, smtp):
    smtp(sink)
    answer = send_trial("dale@example.org", NOON)
    assert answer.taken
    assert "127.0.0.1 took the letter to dale@example.org" in answer.said
    (mail,) = sink.mails
    assert (mail["To"], mail["Subject"]) == ("dale@example.org", "A test letter from Evener")


def test_one_that_is_refused_says_the_servers_own_words(sink, smtp):
    smtp(sink)
    sink.refusals["dale@example.org"] = ["550 5.1.1 no such user"]
    answer = send_trial("dale@example.org", NOON)
    assert (answer.taken, "does not take letters for this address" in answer.said) == (False, True)
    assert "It said: 550 5.1.1 no such user" in answer.said
    sink.replies = ["554 5.7.1 no"]
    assert "read the letter and did not take it" in send_trial("mara@example.org", NOON).said


def test_where_no_server_is_set_it_says_that_nobody_gets_it(settings, tmp_path):
    settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    settings.EMAIL_FILE_PATH = str(tmp_path)
    answer = send_trial("dale@example.org", NOON)
    assert "No mail server is set (EMAIL_URL)" in answer.said
    assert len(list(tmp_path.iterdir())) == 1


def test_the_command_says_it_and_fails_where_it_was_not_taken(smtp, capsys):
    smtp(Sink(port=free_port()))
    with pytest.raises(CommandError, match="Nothing listens for mail at"):
        call_command("test_mail", "dale@example.org")
    with pytest.raises(CommandError, match="is not an e-mail address"):
        call_command("test_mail", "dale at example")


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (smtplib.SMTPAuthenticationError(535, b"no"), "user name and password"),
        (smtplib.SMTPSenderRefused(553, b"no", "a@b"), "DEFAULT_FROM_EMAIL"),
        (smtplib.SMTPNotSupportedError("STARTTLS"), "does not offer"),
        (ssl.SSLCertVerificationError("self-signed"), "certificate"),
        (socket.gaierror(-2, "unknown"), "no mail server of the name"),
        (TimeoutError("timed out"), "did not answer in time"),
        (smtplib.SMTPServerDisconnected("gone"), "broke the connection off"),
        (smtplib.SMTPException("?"), "did not understand each other"),
    ],
)
def test_each_fault_has_its_words(error, said):
    assert said in in_words(error)
