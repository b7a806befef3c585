"""Desk, manager and mechanic are told of a hold's two ends, each once."""

from datetime import timedelta

import pytest

from scheduling.models import Notice
from scheduling.notices.addressees import hearers
from scheduling.notices.hold_letters import news_of_holds
from scheduling.notices.posting import put_all
from tests import factories
from tests.factories import NOON


def tell_of_holds(shop, now, machines):
    return put_all(news_of_holds(shop, now, machines, list(hearers(shop))), now)


@pytest.fixture
def hold(machine, desk):
    return factories.Hold(machine=machine, placed_by=desk, condition="road test")


def test_all_three_are_told_but_for_who_hung_it(shop, hold, manager, desk, mechanic):
    assert tell_of_holds(shop, NOON, [hold.machine_id]) == 2
    letters = Notice.objects.order_by("person__username")
    assert [letter.person for letter in letters] == [manager, mechanic]
    assert letters[0].subject == "SL-04 held: brakes pull to the left"
    for words in ("dale holds it", "For its release: road test.", "dale or a manager may release",
                  f"http://127.0.0.1:8000/holds/{hold.pk}/"):  # fmt: skip
        assert words in letters[0].text


def test_each_end_is_told_once(shop, hold, manager, desk, mechanic):
    machines = [hold.machine_id]
    tell_of_holds(shop, NOON, machines)
    hold.released_at, hold.released_by, hold.released_note = NOON, mechanic, "new pads"
    hold.save()
    assert [tell_of_holds(shop, NOON, machines) for _ in range(3)] == [2, 0, 0]
    last = Notice.objects.filter(kind=Notice.Kind.RELEASED)
    assert {letter.person for letter in last} == {manager, desk}
    assert last[0].subject == "SL-04 released: new pads"
    assert "It was held by dale: brakes pull to the left" in last[0].text


def test_what_is_long_past_or_of_other_machines_is_no_news(shop, hold, manager):
    assert tell_of_holds(shop, NOON + timedelta(days=8), [hold.machine_id]) == 0
    assert tell_of_holds(shop, NOON, [factories.Machine().pk]) == 0
    assert tell_of_holds(factories.Shop(), NOON, [hold.machine_id]) == 0


@pytest.mark.parametrize("holds", [1, 5])
def test_more_holds_take_no_more_queries(shop, machine, holds, django_assert_num_queries):
    for number in range(holds):
        factories.Hold(machine=machine, reason=f"{number}")
    with django_assert_num_queries(1):
        news_of_holds(shop, NOON, [machine.pk], [])
