"""A shop's plan is looked at again, since facts on which it hangs have changed.

Steps:
1. nothing to do where the plan stands on the facts as they are, or all of it can still be done and
   nothing new is due soon: what is a little later or sooner waits for the night;
2. where no coming day is published, nobody counts on the plan: it is made anew;
3. where days are published, few moves that mend it are worked out beside it, ready to be looked at
   and published with one press.  Until then nobody's list changes.
"""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.models import Shop
from scheduling.actions.replan import SECONDS, said_of
from scheduling.models import Plan, PlannedWork, PlanSearch, Trial
from scheduling.plan import plan_shop, searches
from scheduling.plan.breach_words import say_broken
from scheduling.plan.broken_work import broken_work, load_placed, new_work
from scheduling.plan.shop_plan import lock_shop
from scheduling.plan.shop_problem import ShopFacts, digest, instance, load_shop

OPEN = (Trial.State.ASKED, Trial.State.READY)


@dataclass(frozen=True)
class PlanLook:
    """What a look found: the line that says it, empty where all holds, and what was owed by it."""

    line: str = ""
    search: PlanSearch | None = None
    trial: Trial | None = None


def look_again(shop: Shop, now: datetime) -> PlanLook:
    """Look whether a shop's plan can still be done; twice has the effect of once."""
    plan = Plan.objects.filter(shop=shop).first()
    if plan is None:
        return PlanLook()
    facts = load_shop(shop, now)
    marks = digest(instance(facts), facts)
    if (plan.facts, plan.first_day) == (marks, facts.horizon.first):
        withdraw(shop, now)
        return PlanLook()
    line = _line(plan, facts)
    if not line:
        withdraw(shop, now)
        return PlanLook()
    if not is_published(shop, facts):
        return PlanLook(line, _plan_anew(shop, line, now))
    return PlanLook(line, trial=_mend(shop, line, marks, now))


def _line(plan: Plan, facts: ShopFacts) -> str:
    """Say what no longer holds; empty where all of it does."""
    broken = broken_work(facts, load_placed(plan, facts))
    known = PlannedWork.objects.filter(plan=plan).values_list("work_key", flat=True)
    new = new_work(facts, known)
    return say_broken(broken, new, facts) if broken or new else ""


def is_published(shop: Shop, facts: ShopFacts) -> bool:
    """Whether mechanics hold a list of a day that is not over."""
    release = shop.releases.first()
    return release is not None and bool(release.jobs) and release.last_day >= facts.horizon.first


def _plan_anew(shop: Shop, line: str, now: datetime) -> PlanSearch:
    searches.close_open(shop, PlanSearch.Cause.FACTS, now)
    search = PlanSearch.objects.create(
        shop=shop, cause=PlanSearch.Cause.FACTS, asked_at=now, stage="the plan of the shop days"
    )
    with searches.begun(search, now) as running:
        running.said = f"{line} {said_of(plan_shop(shop, now, SECONDS, running.tell))}"
    return search


@transaction.atomic
def _mend(shop: Shop, line: str, marks: str, now: datetime) -> Trial | None:
    """Owe the mended plan; None where it is there already, or a person has left this as it is."""
    lock_shop(shop)
    last = Trial.objects.select_for_update(no_key=True).filter(shop=shop, by=None).first()
    if last is not None and last.cause == line and last.settled_by_id is not None:
        return None
    if last is None or last.state not in OPEN:
        last = Trial.objects.create(
            shop=shop, kind=Trial.Kind.MEND, changes=[], cause=line, made_at=now
        )
    elif last.cause == line and (last.state == Trial.State.ASKED or last.base == marks):
        return None
    else:
        last.round, last.cause, last.state = last.round + 1, line, Trial.State.ASKED
        last.save(update_fields=["round", "cause", "state"])
    searches.ask(shop, by=None, now=now, trial=last)
    return last


def withdraw(shop: Shop, now: datetime) -> None:
    """Throw away a mended plan that nothing asks for any more."""
    rows = Trial.objects.filter(shop=shop, by=None, state__in=OPEN)
    rows.update(state=Trial.State.DROPPED, settled_at=now)
