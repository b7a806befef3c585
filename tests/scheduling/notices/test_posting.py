"""A notice and the entry to send it are kept together, once for each cause."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from fleet.models import Release
from scheduling.models import Notice, OutboxEntry
from scheduling.notices.causes import NoticeCause
from scheduling.notices.letter import Letter
from scheduling.notices.posting import NewNotice, put, told
from tests import consequences, factories
from tests.factories import NOON, TODAY

LETTER = Letter("Two machines held", "Two machines held\n", "<p>Two machines held</p>")


SUMMARY = NoticeCause(Notice.Kind.MORNING, day=TODAY)


def new(person, cause=SUMMARY, **more):
    return NewNotice(cause, person, person.shop, LETTER, **more)


def test_a_notice_is_kept_and_its_sending_is_owed(manager):
    notice = put(new(manager), NOON)
    entry = OutboxEntry.objects.get()
    assert (entry.kind, entry.payload) == (OutboxEntry.Kind.SEND, {"notice": notice.pk})
    assert (notice.status, notice.text) == ("waiting", LETTER.text)


def test_the_same_cause_makes_nothing_more(manager):
    assert put(new(manager), NOON) is not None
    assert put(new(manager), NOON) is None
    assert (Notice.objects.count(), OutboxEntry.objects.count()) == (1, 1)


def test_without_an_address_it_stands_on_the_site_and_says_so(manager):
    manager.email = ""
    notice = put(new(manager), NOON)
    assert notice.status == "not sent"
    assert "mara has no e-mail address" in notice.error
    assert not OutboxEntry.objects.exists()


def test_a_notice_that_is_not_for_mail_says_why(manager):
    notice = put(new(manager, by_mail=False, why_not="It is about your own address."), NOON)
    assert (notice.status, notice.error) == ("not sent", "It is about your own address.")
    assert not OutboxEntry.objects.exists()


def test_another_day_person_or_round_is_another_notice(manager):
    tomorrow = NoticeCause(Notice.Kind.MORNING, day=TODAY + timedelta(days=1))
    other = factories.Person(shop=manager.shop)
    all_of_them = [new(manager), new(manager, tomorrow), new(other), new(manager, round=1)]
    assert all(put(each, NOON) for each in all_of_them)
    assert not any(put(each, NOON) for each in all_of_them)


def test_who_was_told_is_found_in_one_query(manager, django_assert_num_queries):
    put(new(manager), NOON)
    with django_assert_num_queries(1):
        assert told(SUMMARY, manager.shop) == {manager.pk}
    assert told(NoticeCause(Notice.Kind.DAY_LIST, day=TODAY), manager.shop) == set()


def published(shop):
    return Release.objects.create(shop=shop, at=NOON, first_day=TODAY, last_day=TODAY)


CAUSES = {
    "day": lambda person: {"day": TODAY},
    "release": lambda person: {"release": published(person.shop)},
    "undelivered": lambda person: {"about": consequences.Notice(person=person)},
    "booked service": lambda person: {
        "booking": factories.Booking(), "service": factories.Service(), "block_kind": "limit",
    },
    "booked hold": lambda person: {
        "booking": factories.Booking(), "hold": factories.Hold(), "block_kind": "hold",
    },
}  # fmt: skip


@pytest.mark.parametrize("about", list(CAUSES))
def test_the_database_itself_keeps_a_cause_from_being_told_twice(manager, about):
    fields = CAUSES[about](manager)
    consequences.Notice(person=manager, **fields)
    consequences.Notice(person=manager, round=1, **fields)
    consequences.Notice(person=factories.Person(shop=manager.shop), **fields)
    with pytest.raises(IntegrityError), transaction.atomic():
        consequences.Notice(person=manager, **fields)
