"""Two people publish at the same moment, on a real database: one wins, the other gets told."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.db import connection

from fleet.models import ClosedDay
from fleet.refusal import Refusal
from scheduling.actions.try_changes import BASE_MOVED, ask_trial, publish_trial
from scheduling.models import OutboxEntry, Plan, Trial
from scheduling.plan import plan_shop
from scheduling.plan import shop_plan as plan_module
from scheduling.trial.changes import DayClosed
from scheduling.worker.perform import perform_entry
from tests import factories as make
from tests.scheduling.cases import NOW
from tests.scheduling.trial.every_change import day

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def ready(planned, shop):
    """Work trials out, each by a person of its own."""

    def build(*changes):
        made = [ask_trial(shop, [one], by=make.Person(shop=shop), now=NOW) for one in changes]
        for entry in OutboxEntry.objects.filter(kind=OutboxEntry.Kind.TRIAL):
            assert perform_entry(entry.pk, NOW)
        return [Trial.objects.get(pk=trial.pk) for trial in made]

    return build


def at_once(*work):
    """Run each in a thread of its own, all released together; return what came of each."""
    gate = Barrier(len(work))

    def one(do):
        try:
            gate.wait()
            return do()
        except Refusal as no:
            return no.sentence
        finally:
            connection.close()

    with ThreadPoolExecutor(len(work)) as pool:
        return list(pool.map(one, work))


def publish(trial):
    return lambda: publish_trial(trial, by=trial.by, now=NOW)


def test_of_two_trials_published_at_once_one_wins_and_the_other_is_worked_out_again(ready):
    trials = ready(DayClosed(day(2)), DayClosed(day(3)))
    answers = at_once(*[publish(trial) for trial in trials])
    won = [one for one in answers if isinstance(one, Trial)]
    assert len(won) == 1
    assert [one for one in answers if not isinstance(one, Trial)] == [BASE_MOVED]
    assert ClosedDay.objects.count() == 1
    assert Plan.objects.get().number == 2
    (lost,) = Trial.objects.exclude(pk=won[0].pk)
    assert (lost.state, lost.round) == (Trial.State.ASKED, 2)


def test_one_trial_published_by_two_at_once_is_published_once(ready):
    (trial,) = ready(DayClosed(day(2)))
    answers = at_once(publish(trial), publish(trial), publish(trial))
    assert {one.pk for one in answers} == {trial.pk}
    assert ClosedDay.objects.count() == 1
    assert Plan.objects.get().number == 2


def test_a_slow_search_does_not_overwrite_what_was_published_meanwhile(ready, shop, monkeypatch):
    """The search began before the day was closed; its plan would still work on it."""
    shut = Plan.objects.get().jobs.order_by("day").first().day
    (trial,) = ready(DayClosed(shut))
    solve, published = plan_module.solve, []

    def slow(*given):
        if not published:
            published.append(publish_trial(trial, by=trial.by, now=NOW))
        return solve(*given)

    monkeypatch.setattr(plan_module, "solve", slow)
    Plan.objects.update(facts="")  # so that there is something to search for
    assert plan_shop(shop, NOW, seconds=1).kept
    assert not Plan.objects.get().jobs.filter(day=shut).exists()
