"""A notice and the entry to send it are kept together, once for each cause."""

from scheduling.models import Notice, OutboxEntry
from scheduling.notices.letter import Letter
from scheduling.notices.posting import NewNotice, known, put
from tests.factories import NOON

LETTER = Letter("Two machines held", "Two machines held\n", "<p>Two machines held</p>")


def new(person, key="morning:1", **more):
    return NewNotice(key, Notice.Kind.MORNING, person, person.shop, LETTER, **more)


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


def test_known_keys_are_found_in_one_query(manager, django_assert_num_queries):
    put(new(manager, "morning:1"), NOON)
    with django_assert_num_queries(1):
        assert known(["morning:1", "morning:2"]) == {"morning:1"}
