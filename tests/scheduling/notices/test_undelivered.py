"""Telling managers of somebody who could not be reached."""

import pytest

from scheduling.models import Notice, OutboxEntry
from scheduling.notices.undelivered import tell_managers
from tests import consequences, factories
from tests.factories import NOON


@pytest.fixture
def failed(desk):
    return consequences.Notice(
        person=desk, kind=Notice.Kind.AT_RISK, subject="SL-04 falls due",
        error="The mail server refused dale@example.org: 550 no such user",
    )  # fmt: skip


def told():
    return Notice.objects.filter(kind=Notice.Kind.UNDELIVERED)


def test_the_manager_learns_who_which_notice_and_why(failed, manager):
    assert tell_managers(failed, NOON) == 1
    notice = told().get()
    assert (notice.person, notice.status) == (manager, "waiting")
    for said in ("dale", "SL-04 falls due", "550 no such user", "dale@example.org"):
        assert said in notice.text
        assert said in notice.html


def test_told_once(failed, manager):
    tell_managers(failed, NOON)
    assert tell_managers(failed, NOON) == 0


def test_it_never_goes_round_about_itself(failed, manager):
    failed.kind = Notice.Kind.UNDELIVERED
    assert tell_managers(failed, NOON) == 0


def test_about_ones_own_address_it_stands_on_the_site_alone(manager, failed):
    other = factories.Person(shop=manager.shop)
    failed.person = manager
    tell_managers(failed, NOON)
    own = told().get(person=manager)
    assert own.status == "not sent"
    assert "your own address" in own.error
    assert told().get(person=other).status == "waiting"
    assert OutboxEntry.objects.count() == 1
