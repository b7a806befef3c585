"""Try changes on a copy of a shop's plan; publish them, or throw them away.

Steps of publishing, in one transaction, in the order that keeps two people apart:
1. take the shop's turn: whoever else writes its plan waits;
2. look whether the trial still stands on the facts and the plan from which it was worked out;
3. make each change a fact, by the fleet's own actions;
4. load the shop with these facts, and write the plan that was found as its plan;
5. tell the mechanics whose published days have changed.
A trial whose base has moved is not published: it is worked out again, and shown anew.
"""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from fleet.models import Person, Shop
from fleet.refusal import Refusal
from scheduling.actions.facts_of_trials import Maker, make_fact
from scheduling.actions.republish import tell_released
from scheduling.core.planner import Result
from scheduling.due.booked_blocks import write_booked
from scheduling.facts.scope import Scope
from scheduling.models import PlanSearch, Trial
from scheduling.plan import searches
from scheduling.plan.plan_writing import write_plan
from scheduling.plan.shop_plan import lock_shop, plan_number
from scheduling.plan.shop_problem import ShopFacts, digest, instance, load_shop
from scheduling.trial.changes import Change, kept, read
from scheduling.trial.plain_json import from_plain, to_plain
from scheduling.trial.rename_people import renamed
from scheduling.trial.work_out import work_out

MOST_CHANGES = 12
"""Changes of one trial; more can no longer be told apart in what they do."""

BASE_MOVED = (
    "The shop's facts or its plan have changed since this was worked out, so nothing was published."
    " It is being worked out again; look at the differences once more."
)


class BaseMoved(Exception):
    """A trial stands on facts or a plan that have changed since."""


@transaction.atomic
def ask_trial(
    shop: Shop,
    changes: Sequence[Change],
    *,
    by: Person,
    now: datetime,
    kind: Trial.Kind = Trial.Kind.TRY,
    form_key: str | None = None,
) -> Trial:
    """Keep changes as a trial, and owe its working out; the same form sent twice is one trial."""
    if form_key and (made := Trial.objects.filter(form_key=form_key).first()):
        return made
    if not changes:
        raise Refusal("First say what is to change.")
    if len(changes) > MOST_CHANGES:
        raise Refusal(f"Try at most {MOST_CHANGES} changes at a time.")
    trial = Trial.objects.create(
        shop=shop,
        kind=kind,
        changes=[kept(each) for each in changes],
        by=by,
        made_at=now,
        form_key=form_key,
    )
    searches.ask(shop, by=by, now=now, trial=trial)
    return trial


@transaction.atomic
def change_trial(trial: Trial, changes: Sequence[Change], *, by: Person, now: datetime) -> Trial:
    """Work a trial out again with other changes; the same changes once more change nothing."""
    trial = _open(trial.pk)
    rows = [kept(each) for each in changes]
    if rows == trial.changes:
        return trial
    if len(rows) > MOST_CHANGES:
        raise Refusal(f"Try at most {MOST_CHANGES} changes at a time.")
    if not rows:
        raise Refusal("This is its only change; throw the trial away instead.")
    trial.changes = rows
    trial.save(update_fields=["changes"])
    return _again(trial, by, now)


@transaction.atomic
def try_again(trial: Trial, *, by: Person, now: datetime) -> Trial:
    """Work a trial out again from the facts as they are now."""
    trial = _open(trial.pk)
    return trial if trial.state == Trial.State.ASKED else _again(trial, by, now)


@transaction.atomic
def drop_trial(trial: Trial, *, by: Person, now: datetime) -> Trial:
    """Throw a trial away; twice is once."""
    trial = _locked(trial.pk)
    if trial.state == Trial.State.PUBLISHED:
        raise Refusal(f"{trial.settled_by} has published this already.")
    if trial.state != Trial.State.DROPPED:
        _settle(trial, Trial.State.DROPPED, by, now)
    return trial


def do_trial(search: PlanSearch, now: datetime) -> None:
    """Work out what a search asks of its trial; what was asked anew since is left to that search.

    Done again after a crash it comes to the same, and only the first to finish writes.
    """
    trial = search.trial
    if trial is None or search.ended_at:
        return
    with searches.begun(search, now) as running:
        if not _asked(trial.pk, search.round):
            running.said = "Settled or asked again meanwhile."
            return
        changes = [read(row) for row in trial.changes]
        worked = work_out(trial, changes, now, running.tell)
        Trial.objects.filter(pk=trial.pk, round=search.round, state=Trial.State.ASKED).update(
            state=Trial.State.READY,
            base=worked.base,
            base_plan=worked.base_plan,
            solution=to_plain(worked.solution) if worked.solution else {},
            shown=worked.shown,
            solved_at=now,
        )
        running.said = worked.shown.get("sentence") or worked.shown.get("fault", "")


def _asked(pk: int, number: int) -> bool:
    return Trial.objects.filter(pk=pk, round=number, state=Trial.State.ASKED).exists()


def publish_trial(trial: Trial, *, by: Person, now: datetime) -> Trial:
    """Make the changes facts and the plan that was found the shop's plan; twice is once."""
    try:
        return _publish(trial.pk, by, now)
    except BaseMoved:
        try_again(trial, by=by, now=now)
        raise Refusal(BASE_MOVED) from None


@transaction.atomic
def _publish(pk: int, by: Person, now: datetime) -> Trial:
    shop = Shop.objects.get(trials=pk)
    lock_shop(shop)
    trial = _locked(pk)
    if trial.state == Trial.State.PUBLISHED:
        return trial
    _refuse_unready(trial)
    _refuse_moved(trial, shop, now)
    names = _write_facts(trial, by, now)
    facts = load_shop(shop, now)
    result = renamed(_solution(trial), names)
    _refuse_strangers(result, facts)
    before = shop.releases.first()
    write_plan(facts, result, digest(instance(facts), facts), now)
    write_booked(Scope.of(shop.pk), now)
    tell_released(shop, before, by=by, now=now)
    _settle(trial, Trial.State.PUBLISHED, by, now)
    return trial


def _solution(trial: Trial) -> Result:
    """Return the plan that was found; one that an older version kept is worked out again."""
    try:
        found: Result = from_plain(Result, trial.solution)
    except ValueError as error:
        raise BaseMoved from error
    return found


def _refuse_unready(trial: Trial) -> None:
    if trial.state == Trial.State.DROPPED:
        raise Refusal(f"{trial.settled_by} has thrown this away; try it again from the start.")
    if trial.state == Trial.State.ASKED:
        raise Refusal("It is still being worked out; look again in a moment.")
    if not trial.solution:
        raise Refusal(trial.shown.get("fault", "This cannot be planned."))


def _refuse_moved(trial: Trial, shop: Shop, now: datetime) -> None:
    if plan_number(shop) != trial.base_plan:
        raise BaseMoved
    facts = load_shop(shop, now)
    if digest(instance(facts), facts) != trial.base:
        raise BaseMoved


def _write_facts(trial: Trial, by: Person, now: datetime) -> dict[str, str]:
    """Make the changes facts; return user names that take the place of passing ones."""
    word = "tried out" if trial.kind == Trial.Kind.TRY else "mended"
    maker = Maker(trial.shop, by, now, f"{word} on the plan, no. {trial.pk}", f"trial:{trial.pk}")
    names: dict[str, str] = {}
    for row in trial.changes:
        names |= make_fact(read(row), maker)
    return names


def _refuse_strangers(result: Result, facts: ShopFacts) -> None:
    """Refuse a plan that gives work to nobody, or work that is no more: the facts then differ."""
    work, here = {w.key for w in facts.work}, {w.username for w in facts.workers}
    for spot in result.assignments:
        if spot.task not in work or not {spot.mechanic, spot.second or spot.mechanic} <= here:
            raise BaseMoved


def _open(pk: int) -> Trial:
    trial = _locked(pk)
    if not trial.open:
        word = "published" if trial.state == Trial.State.PUBLISHED else "thrown this away"
        raise Refusal(f"{trial.settled_by} has {word} already; start a new one.")
    return trial


def _locked(pk: int) -> Trial:
    rows = Trial.objects.select_for_update(of=("self",), no_key=True).select_related(
        "shop", "settled_by"
    )
    return rows.get(pk=pk)


def _again(trial: Trial, by: Person, now: datetime) -> Trial:
    trial.round += 1
    trial.state = Trial.State.ASKED
    trial.save(update_fields=["round", "state"])
    searches.ask(trial.shop, by=by, now=now, trial=trial)
    return trial


def _settle(trial: Trial, state: Trial.State, by: Person, now: datetime) -> None:
    trial.state, trial.settled_at, trial.settled_by = state, now, by
    trial.save(update_fields=["state", "settled_at", "settled_by"])
