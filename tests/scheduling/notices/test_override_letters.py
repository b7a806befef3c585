"""A decision against a block: the managers hear of it at once, in one letter."""

from datetime import timedelta

from fleet.actions.decide_work import override_block
from fleet.models import Override, Role
from scheduling import tasks
from scheduling.models import Notice, OutboxEntry
from scheduling.notices.override_letters import tell_of_overrides
from tests import factories
from tests.factories import NOON


def letters(now=NOON):
    """Look as the sweep does, and return the letters of that kind."""
    tell_of_overrides(now)
    return list(Notice.objects.filter(kind=Notice.Kind.OVERRIDE).order_by("pk"))


def decide(booking, by, *against, now=NOON):
    for words in against:
        override_block(booking, against=words, reason="back before noon", by=by, now=now)


def test_a_manager_hears_who_why_and_against_what(booking, machine, manager, desk):
    decide(booking, desk, "oil change overdue by 12 h", "the winch is due")
    (notice,) = letters()
    assert notice.person == manager
    assert notice.subject.startswith("SL-04 goes out against a block: Alder Creek fencing")
    for words in ("dale decided", "Oil change overdue by 12 h.", "The winch is due.",
                  "Reason given: back before noon"):  # fmt: skip
        assert words in notice.text
    assert "back before noon" in notice.html


def test_it_is_told_once(booking, machine, manager, desk):
    decide(booking, desk, "oil change overdue")
    letters()
    assert len(letters()) == 1
    decide(booking, desk, "the winch is due", now=NOON - timedelta(minutes=1))
    assert len(letters()) == 2


def test_who_decided_is_not_told(booking, machine, manager):
    decide(booking, manager, "oil change overdue")
    assert letters() == []
    other = factories.Person(shop=manager.shop)
    assert [notice.person for notice in letters()] == [other]


def test_only_managers_are_told(booking, machine, manager, desk, mechanic):
    factories.Person(shop=manager.shop, role=Role.DESK)
    decide(booking, desk, "oil change overdue")
    assert [notice.person for notice in letters()] == [manager]


def test_what_was_struck_or_is_old_is_no_news(booking, manager, desk):
    decide(booking, desk, "oil change overdue")
    assert letters(NOON + timedelta(days=8)) == []
    Override.objects.update(struck=True)
    assert letters() == []


def test_the_sweep_tells_it(booking, manager, desk, monkeypatch):
    monkeypatch.setattr("scheduling.outbox.entries.ring", lambda pk, expires=None: None)
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    decide(booking, desk, "oil change overdue")
    tasks.sweep()
    assert Notice.objects.get(kind=Notice.Kind.OVERRIDE).person == manager
    assert OutboxEntry.objects.filter(kind=OutboxEntry.Kind.SEND).count() == 1


def test_each_shop_is_told_of_its_own(booking, manager, desk, django_assert_max_num_queries):
    decide(booking, desk, "oil change overdue")
    for _ in range(2):
        far = factories.Booking()
        other = factories.Person(shop=far.machine.yard.shop)
        decide(far, desk, "the winch is due")
        assert letters()[-1].person == other
    with django_assert_max_num_queries(1):
        letters_now = tell_of_overrides(NOON)
    assert letters_now == 0
