"""A notice as an Internet message."""

from email import policy
from email.parser import BytesParser
from email.utils import parsedate_to_datetime

from scheduling.notices.message import message, message_id
from tests import consequences
from tests.factories import NOON


def parsed(notice):
    raw = message(notice).message().as_bytes()
    return BytesParser(policy=policy.default).parsebytes(raw)


def test_it_has_plain_text_and_html_and_one_recipient(manager):
    mail = parsed(consequences.Notice(person=manager))
    assert mail["To"] == "mara@example.org"
    assert [part.get_content_type() for part in mail.iter_parts()] == ["text/plain", "text/html"]


def test_no_program_is_to_answer_it(manager):
    assert parsed(consequences.Notice(person=manager))["Auto-Submitted"] == "auto-generated"


def test_made_twice_it_is_the_same_message(manager):
    notice = consequences.Notice(person=manager)
    first, second = parsed(notice), parsed(notice)
    assert first["Message-ID"] == second["Message-ID"] == message_id(notice)
    assert parsedate_to_datetime(first["Date"]) == parsedate_to_datetime(second["Date"]) == NOON


def test_another_cause_is_another_message(manager):
    one, two = consequences.Notice(person=manager), consequences.Notice(person=manager)
    assert message_id(one) != message_id(two)
